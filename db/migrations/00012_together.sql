-- One command is one undo: what it recorded is tied together, what was taken back can be put
-- back once, and changes of the plan and of orders are entries too.

-- +goose Up
ALTER TABLE entry DROP CONSTRAINT entry_kind_check;
ALTER TABLE entry ADD CONSTRAINT entry_kind_check CHECK (kind IN ('stock', 'job', 'receipt', 'move', 'pack', 'return', 'count',
    'weighing', 'lend', 'lent back', 'open kit', 'tag', 'scrap', 'undo', 'plan', 'order'));

-- Entries that one command made: named after the first. An entry that is not here is alone.
CREATE TABLE together (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    command  uuid NOT NULL REFERENCES entry (id)
);
CREATE INDEX together_command ON together (command);

-- An entry that puts back what an undo took back, once.
CREATE TABLE redo (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    redoes   uuid NOT NULL UNIQUE REFERENCES entry (id)
);

-- What an entry of kind plan or order changed: the numbers or words before and after.
CREATE TABLE plan_change (
    entry_id uuid PRIMARY KEY REFERENCES entry (id),
    what     text NOT NULL CHECK (what IN ('jobs', 'weather', 'trip', 'order')),
    subject  text NOT NULL CHECK (subject <> ''), -- a round, a trip, an order
    service  text NOT NULL DEFAULT '',
    assembly text NOT NULL DEFAULT '',
    was      json NOT NULL,
    now      json NOT NULL
);

-- What an order was before anything came of it: so it is again once that is taken back.
ALTER TABLE orders ADD COLUMN before_goods text NOT NULL DEFAULT '';
