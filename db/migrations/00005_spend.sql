-- What a season costs: months that are closed, with their totals, and the order in which
-- charges became known. A closed month stands: what is recorded later belongs to the open
-- one, and what a later cost adds stands there as a correction.

-- +goose Up

-- The order in which charges became known, as entry_seq is that of entries and id that of
-- lot_cost.
ALTER TABLE charge ADD COLUMN seq bigint GENERATED ALWAYS AS IDENTITY;

-- The last numbers of arrival that a closed month holds.
ALTER TABLE closed_month
    ADD COLUMN last_entry bigint NOT NULL DEFAULT 0,
    ADD COLUMN last_cost bigint NOT NULL DEFAULT 0,
    ADD COLUMN last_charge bigint NOT NULL DEFAULT 0;

-- The totals of a closed month by each view: fractions, exact. Of what could not be valued
-- then the key is the reason and the amount how many movements.
CREATE TABLE closed_total (
    season_id integer NOT NULL REFERENCES season (id),
    month     date NOT NULL REFERENCES closed_month (month),
    view      text NOT NULL,
    key       text NOT NULL,
    figure    text NOT NULL CHECK (figure IN ('used', 'allocation list value', 'scrapped', 'difference', 'not valued')),
    num       numeric NOT NULL,
    den       numeric NOT NULL CHECK (den > 0),
    PRIMARY KEY (season_id, view, month, key, figure)
);

-- What one base unit of each lot cost when the month was closed; null: not valued then.
CREATE TABLE closed_price (
    month    date NOT NULL REFERENCES closed_month (month),
    lot_id   integer NOT NULL REFERENCES lot (id),
    cost_num numeric,
    cost_den numeric CHECK (cost_den > 0),
    list_num numeric,
    list_den numeric CHECK (list_den > 0),
    PRIMARY KEY (month, lot_id),
    CHECK ((cost_num IS NULL) = (cost_den IS NULL) AND (list_num IS NULL) = (list_den IS NULL))
);

-- An entry as money sees it: an undo belongs to what the job it takes back belonged to.
-- Every join is to a key and may find nothing, so that a question that does not ask for a
-- column does not pay for its join.
CREATE VIEW spend_entry AS
SELECT e.id, e.season_id, e.happened_at, s.seq, j.round, j.service, j.assembly, a.rider
FROM entry AS e
    LEFT JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN job AS j ON j.entry_id = coalesce(e.undoes, e.id)
    LEFT JOIN assembly AS a ON a.code = j.assembly;
