-- The stores ledger: who moved what of which lot from where to where, and when.
-- Nothing in it is ever changed or deleted; an undo is an entry of its own.

-- +goose Up
CREATE TABLE orders (
    id         integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season_id  integer NOT NULL REFERENCES season (id),
    code       text NOT NULL CHECK (code <> ''),
    supplier   text NOT NULL REFERENCES supplier (code),
    placed_on  date,
    due_on     date,
    ship_to    text REFERENCES place (code),
    arrived_on date,
    state      text NOT NULL DEFAULT '' CHECK (state IN ('', 'drafted', 'placed', 'confirmed', 'part here', 'here', 'called off')),
    carriage   numeric CHECK (carriage >= 0),
    duty       numeric CHECK (duty >= 0),
    entry_fee  numeric CHECK (entry_fee >= 0),
    currency   text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    notes      text NOT NULL DEFAULT '',
    pos        integer NOT NULL,
    UNIQUE (season_id, code)
);

CREATE TABLE order_line (
    season_id      integer NOT NULL,
    order_code     text NOT NULL,
    part           text NOT NULL REFERENCES part (code),
    packs          integer CHECK (packs >= 0),
    quantity       bigint NOT NULL CHECK (quantity > 0),
    price_per_pack numeric CHECK (price_per_pack >= 0),
    notes          text NOT NULL DEFAULT '',
    pos            integer NOT NULL,
    PRIMARY KEY (season_id, order_code, part),
    FOREIGN KEY (season_id, order_code) REFERENCES orders (season_id, code)
);

-- A lot is one receipt and carries the cost (rows of lot_cost).
CREATE TABLE lot (
    id          integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season_id   integer NOT NULL REFERENCES season (id),
    code        text NOT NULL CHECK (code <> ''),
    part_id     integer NOT NULL REFERENCES part (id),
    supplier    text REFERENCES supplier (code),
    order_code  text,
    from_lot    text,
    received_on date,
    expires_on  date,
    quantity    bigint CHECK (quantity > 0),
    currency    text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    list_value  numeric CHECK (list_value >= 0),
    allocation  boolean,
    notes       text NOT NULL DEFAULT '',
    pos         integer NOT NULL,
    UNIQUE (season_id, code),
    UNIQUE (id, part_id),
    FOREIGN KEY (season_id, order_code) REFERENCES orders (season_id, code),
    FOREIGN KEY (season_id, from_lot) REFERENCES lot (season_id, code)
);
CREATE INDEX lot_part ON lot (part_id);

CREATE TABLE lot_cost (
    id       integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    lot_id   integer NOT NULL REFERENCES lot (id),
    kind     text NOT NULL CHECK (kind IN ('landed', 'goods', 'carriage', 'duty', 'entry fee', 'price correction')),
    amount   numeric NOT NULL,
    currency text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
    source   text NOT NULL DEFAULT '',
    known_on date NOT NULL
);
CREATE INDEX lot_cost_lot ON lot_cost (lot_id);

-- A tag names one thing of a lot: a bottle, a spring, a casting with a number.
CREATE TABLE tag (
    id            integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season_id     integer NOT NULL REFERENCES season (id),
    code          text NOT NULL CHECK (code <> ''),
    lot_id        integer NOT NULL,
    part_id       integer NOT NULL,
    tare_mg       bigint CHECK (tare_mg >= 0),
    contents      bigint CHECK (contents > 0),
    opened_on     date,
    measured_rate numeric CHECK (measured_rate > 0),
    serial_number text NOT NULL DEFAULT '',
    notes         text NOT NULL DEFAULT '',
    pos           integer NOT NULL,
    UNIQUE (season_id, code),
    UNIQUE (id, lot_id),
    FOREIGN KEY (lot_id, part_id) REFERENCES lot (id, part_id)
);

-- An entry is one thing a person did. Its id is made by whoever records it; "code" is
-- its name in a workbook's sheet (live records have none: their id is their name).
CREATE TABLE entry (
    id           uuid PRIMARY KEY,
    season_id    integer NOT NULL REFERENCES season (id),
    kind         text NOT NULL CHECK (kind IN ('stock', 'job', 'receipt', 'move', 'pack', 'return', 'count', 'weighing',
                     'lend', 'lent back', 'open kit', 'tag', 'scrap', 'undo')),
    person       text REFERENCES person (code),
    happened_at  timestamptz NOT NULL,
    recorded_at  timestamptz NOT NULL,
    request_hash bytea NOT NULL,
    undoes       uuid UNIQUE REFERENCES entry (id) CHECK (undoes <> id),
    code         text CHECK (code <> ''),
    reference    text NOT NULL DEFAULT '',
    due_back_on  date,
    notes        text NOT NULL DEFAULT '',
    pos          integer, -- the row in its sheet, so that a saved workbook keeps people's order
    CHECK ((kind = 'undo') <= (undoes IS NOT NULL))
);
CREATE INDEX entry_happened ON entry (season_id, happened_at);

-- What arrived after what: taken after the locks, since now() is only the start of a
-- transaction.
CREATE TABLE entry_seq (
    seq      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    entry_id uuid NOT NULL UNIQUE REFERENCES entry (id)
);

CREATE TABLE movement (
    entry_id uuid NOT NULL REFERENCES entry (id),
    quantity bigint NOT NULL CHECK (quantity > 0),
    lot_id   integer NOT NULL REFERENCES lot (id),
    tag_id   integer,
    from_id  integer NOT NULL REFERENCES place (id),
    to_id    integer NOT NULL REFERENCES place (id) CHECK (to_id <> from_id),
    n        smallint NOT NULL CHECK (n > 0),
    notes    text CHECK (notes <> ''),
    PRIMARY KEY (entry_id, n),
    FOREIGN KEY (tag_id, lot_id) REFERENCES tag (id, lot_id)
);
CREATE INDEX movement_lot ON movement (lot_id);

-- The balance per lot, tag or none, and place: kept in the transaction of its movements.
CREATE TABLE balance (
    lot_id   integer NOT NULL REFERENCES lot (id),
    tag_id   integer,
    place_id integer NOT NULL,
    kept     boolean NOT NULL,
    quantity bigint NOT NULL,
    UNIQUE NULLS NOT DISTINCT (lot_id, tag_id, place_id),
    FOREIGN KEY (place_id, kept) REFERENCES place (id, kept),
    FOREIGN KEY (tag_id, lot_id) REFERENCES tag (id, lot_id),
    CHECK (NOT kept OR quantity >= 0)
);
CREATE INDEX balance_place ON balance (place_id) WHERE kept AND quantity > 0;

CREATE TABLE job (
    entry_id   uuid PRIMARY KEY REFERENCES entry (id),
    season_id  integer NOT NULL,
    round      text,
    service    text NOT NULL REFERENCES service (code),
    assembly   text REFERENCES assembly (code),
    arrived_at timestamptz,
    used_nothing boolean NOT NULL DEFAULT false,
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);
CREATE INDEX job_round ON job (season_id, round);

-- What was counted: a part at a place and below it, or (a stock row) one lot and tag there.
CREATE TABLE count_line (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    place_id integer NOT NULL REFERENCES place (id),
    part_id  integer NOT NULL REFERENCES part (id),
    lot_id   integer,
    tag_id   integer,
    counted  bigint NOT NULL CHECK (counted >= 0),
    book     bigint,
    FOREIGN KEY (lot_id, part_id) REFERENCES lot (id, part_id),
    FOREIGN KEY (tag_id, lot_id) REFERENCES tag (id, lot_id)
);

CREATE TABLE weighing (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    tag_id   integer NOT NULL REFERENCES tag (id),
    gross_mg bigint NOT NULL CHECK (gross_mg >= 0),
    bench_c  numeric,
    book_ul  bigint
);

-- Where a case (or any place) stood inside another: rows are only added.
CREATE TABLE place_move (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    place    text NOT NULL REFERENCES place (code),
    parent   text REFERENCES place (code),
    CHECK (parent <> place)
);

CREATE TABLE charge (
    season_id integer NOT NULL REFERENCES season (id),
    code      text NOT NULL CHECK (code <> ''),
    on_day    date NOT NULL,
    line      text NOT NULL DEFAULT '',
    round     text,
    supplier  text REFERENCES supplier (code),
    amount    numeric NOT NULL,
    currency  text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    notes     text NOT NULL DEFAULT '',
    pos       integer NOT NULL,
    PRIMARY KEY (season_id, code),
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);

-- A month that is closed stands: later records belong to the open one.
CREATE TABLE closed_month (
    month     date PRIMARY KEY CHECK (month = date_trunc('month', month)),
    closed_at timestamptz NOT NULL,
    person    text REFERENCES person (code)
);
