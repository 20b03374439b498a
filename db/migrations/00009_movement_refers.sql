-- What a movement names is looked for once a statement and not once a row: a reference
-- checked row by row also locks the place and the lot it names, and everybody names the
-- place "used". Nothing that a movement may name can be removed or get another number, so
-- that no lock is needed.

-- +goose Up
ALTER TABLE movement
    DROP CONSTRAINT movement_entry_id_fkey,
    DROP CONSTRAINT movement_lot_id_fkey,
    DROP CONSTRAINT movement_from_id_fkey,
    DROP CONSTRAINT movement_to_id_fkey,
    DROP CONSTRAINT movement_tag_id_lot_id_fkey;
