-- A record asks only for what its kind needs, and is told more: what an undo takes back
-- and which counts it crosses, which lot was last used where, where cases stand.

-- +goose Up

-- When something of it was last used up there: what is found joins that lot.
ALTER TABLE balance ADD COLUMN used_at timestamptz;
UPDATE balance AS b SET used_at = u.at
FROM (
        SELECT m.lot_id, m.tag_id, m.from_id, max(e.happened_at) AS at
        FROM movement AS m JOIN entry AS e ON e.id = m.entry_id JOIN place AS g ON g.id = m.to_id
        WHERE g.code = 'used'
        GROUP BY m.lot_id, m.tag_id, m.from_id
    ) AS u
WHERE b.kept AND b.lot_id = u.lot_id AND b.tag_id IS NOT DISTINCT FROM u.tag_id AND b.place_id = u.from_id;

-- A job's time beside its assembly and service: likely doubles are looked for by all three,
-- in a season of any length.
ALTER TABLE job ADD COLUMN happened_at timestamptz;
ALTER TABLE job DISABLE TRIGGER USER;
UPDATE job AS j SET happened_at = e.happened_at FROM entry AS e WHERE e.id = j.entry_id;
ALTER TABLE job ENABLE TRIGGER USER;
ALTER TABLE job ALTER COLUMN happened_at SET NOT NULL;
DROP INDEX job_assembly;
CREATE INDEX job_assembly ON job (assembly, service, happened_at);

-- What the ledger booked because of a record, and the undos of a time.
CREATE INDEX entry_refers ON entry (season_id, reference) WHERE kind IN ('count', 'weighing', 'pack') AND reference <> '';
CREATE INDEX tag_lot ON tag (lot_id);
CREATE INDEX entry_undone ON entry (season_id, happened_at) WHERE kind = 'undo';
