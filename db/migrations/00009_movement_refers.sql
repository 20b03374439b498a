-- What a movement names is looked for once a statement and not once a row: a reference
-- checked row by row also locks the place and the lot it names, and everybody names the
-- place "used". Nothing that a movement may name can be removed or get another number, so
-- that no lock is needed.

-- +goose Up
-- +goose StatementBegin
CREATE FUNCTION refuse_removal() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the ledger may speak of it: % on % is refused', TG_OP, TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;
-- +goose StatementEnd
CREATE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id ON lot FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();
CREATE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id, lot_id ON tag FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();
CREATE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id ON place FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();

-- +goose StatementBegin
CREATE FUNCTION movement_refers() RETURNS trigger LANGUAGE plpgsql SET join_collapse_limit = 1 SET plan_cache_mode = force_generic_plan
    SET enable_hashjoin = off SET enable_mergejoin = off SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    wrong record;
BEGIN
    SELECT m.* INTO wrong
    FROM added AS m LEFT JOIN entry AS e ON e.id = m.entry_id LEFT JOIN lot AS l ON l.id = m.lot_id
        LEFT JOIN place AS f ON f.id = m.from_id LEFT JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id AND t.lot_id = m.lot_id
    WHERE e.id IS NULL OR l.id IS NULL OR f.id IS NULL OR g.id IS NULL OR m.tag_id IS NOT NULL AND t.id IS NULL
    LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'movement % of entry % names an entry, lot, tag or place that is not there', wrong.n, wrong.entry_id USING ERRCODE = 'foreign_key_violation';
    END IF;
    RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER movement_refers AFTER INSERT ON movement REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION movement_refers();

ALTER TABLE movement
    DROP CONSTRAINT movement_entry_id_fkey,
    DROP CONSTRAINT movement_lot_id_fkey,
    DROP CONSTRAINT movement_from_id_fkey,
    DROP CONSTRAINT movement_to_id_fkey,
    DROP CONSTRAINT movement_tag_id_lot_id_fkey;
