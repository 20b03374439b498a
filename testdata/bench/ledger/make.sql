-- What a job log by hand needs: lots in a drawer each and used up, kept as balances.
CREATE TABLE hand_lot (id integer PRIMARY KEY, code text NOT NULL UNIQUE);
CREATE TABLE hand_job (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, service text NOT NULL, assembly text NOT NULL, person text NOT NULL, at timestamptz NOT NULL);
CREATE TABLE hand_movement (
    job_id   bigint NOT NULL REFERENCES hand_job (id),
    quantity bigint NOT NULL CHECK (quantity > 0),
    lot_id   integer NOT NULL REFERENCES hand_lot (id),
    from_id  integer NOT NULL,
    to_id    integer NOT NULL,
    n        smallint NOT NULL,
    PRIMARY KEY (job_id, n)
);
CREATE INDEX hand_movement_lot ON hand_movement (lot_id);
CREATE TABLE hand_balance (
    lot_id   integer NOT NULL REFERENCES hand_lot (id),
    place_id integer NOT NULL,
    quantity bigint NOT NULL CHECK (place_id = 0 OR quantity >= 0),
    PRIMARY KEY (lot_id, place_id)
);
INSERT INTO hand_lot SELECT i, 'L' || i FROM generate_series(0, 999) AS i;
INSERT INTO hand_balance SELECT i, 1 + i % 20, 1000000000 FROM generate_series(0, 999) AS i;
INSERT INTO hand_balance SELECT i, 0, 0 FROM generate_series(0, 999) AS i;
VACUUM ANALYZE;
