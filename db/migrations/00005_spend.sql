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

CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON charge FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_month FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_total FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_price FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- A rate that closed months were reckoned with stands: a new one would change them.
-- +goose StatementBegin
CREATE FUNCTION keep_closed_rates() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    r      exchange_rate%ROWTYPE;
    closed date;
BEGIN
    IF TG_OP = 'DELETE' THEN r := OLD; ELSE r := NEW; END IF;
    IF TG_OP <> 'DELETE' AND EXISTS (SELECT FROM exchange_rate AS k WHERE k.currency = r.currency AND k.from_on = r.from_on AND k.rate = r.rate) THEN
        RETURN r; -- the same again
    END IF;
    SELECT max(month) + interval '1 month' INTO closed FROM closed_month;
    IF closed IS NULL OR r.from_on >= closed THEN
        RETURN r;
    END IF;
    IF EXISTS (SELECT FROM lot AS l JOIN lot_cost AS c ON c.lot_id = l.id WHERE c.currency = r.currency AND l.received_on >= r.from_on AND l.received_on < closed)
        OR EXISTS (SELECT FROM charge AS c WHERE c.currency = r.currency AND c.on_day >= r.from_on AND c.on_day < closed) THEN
        RAISE EXCEPTION 'the rate of % from % is one that closed months were reckoned with, up to %: give a new one from % on',
            r.currency, r.from_on, closed - 1, closed USING ERRCODE = 'restrict_violation';
    END IF;
    RETURN r;
END $$;
-- +goose StatementEnd
CREATE TRIGGER keep_closed_rates BEFORE INSERT OR UPDATE OR DELETE ON exchange_rate FOR EACH ROW EXECUTE FUNCTION keep_closed_rates();

-- An entry as money sees it: an undo belongs to what the job it takes back belonged to.
-- Every join is to a key and may find nothing, so that a question that does not ask for a
-- column does not pay for its join.
CREATE VIEW spend_entry AS
SELECT e.id, e.season_id, e.happened_at, s.seq, j.round, j.service, j.assembly, a.rider
FROM entry AS e
    LEFT JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN job AS j ON j.entry_id = coalesce(e.undoes, e.id)
    LEFT JOIN assembly AS a ON a.code = j.assembly;
