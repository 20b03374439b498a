-- name: RecordBegin :one
-- Locks the parts, claims the entry's id, returns what the choice of stock needs. No time: now.
SELECT record_begin(sqlc.arg(season_id)::integer, sqlc.arg(id)::uuid, sqlc.arg(kind)::text, sqlc.arg(person)::text,
    sqlc.narg(happened_at)::timestamptz, sqlc.arg(request_hash)::bytea, sqlc.narg(undoes)::uuid, sqlc.narg(redoes)::uuid, sqlc.arg(reference)::text,
    sqlc.narg(due_back_on)::date, sqlc.arg(notes)::text, sqlc.arg(parts)::text[],
    sqlc.arg(service)::text, sqlc.arg(assembly)::text, sqlc.arg(trip)::text)::json AS facts;

-- name: RecordWrite :exec
-- Stores what the ledger made of records, all or nothing.
SELECT record_write(sqlc.arg(season_id)::integer, sqlc.arg(entries)::json, sqlc.arg(movements)::json,
    sqlc.arg(balances)::json, sqlc.arg(jobs)::json, sqlc.arg(counts)::json, sqlc.arg(weighings)::json,
    sqlc.arg(opened)::json, sqlc.arg(place_moves)::json);

-- name: PlacesMoved :exec
-- Where a record moved a place, or took such a move back, the plan has changed.
UPDATE plan_version SET version = version + 1
WHERE EXISTS (SELECT FROM entry AS e JOIN place_move AS m ON m.entry_id IN (e.id, e.undoes) WHERE e.id = sqlc.arg(id));

-- name: PlanVersion :one
-- What a remembered plan must still be of: the version, and how far the clock runs ahead.
SELECT v.version, (extract(epoch FROM c.ahead_by) * 1000000)::bigint AS ahead_microseconds FROM plan_version AS v, clock AS c;

-- name: PlanChanged :exec
-- To be called by whatever changes the catalogue or the plan.
UPDATE plan_version SET version = version + 1;

-- name: EntryOf :one
-- An entry as it stands, and what took it back (null: nothing).
SELECT e.id, e.season_id, e.kind, coalesce(e.person, '')::text AS person, e.happened_at, e.request_hash, e.undoes, e.reference, u.id AS undone_by
FROM entry AS e LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.id = $1;

-- name: EntryMoves :many
SELECT q.code AS part, l.code AS lot, coalesce(t.code, '')::text AS tag, f.code AS from_place, g.code AS to_place, m.quantity
FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN part AS q ON q.id = l.part_id
    JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id
WHERE m.entry_id = $1
ORDER BY m.n;

-- name: EntryByCode :one
-- The entry that a workbook's code names.
SELECT id FROM entry WHERE season_id = $1 AND code = $2 ORDER BY id LIMIT 1;

-- name: LastEntryOf :one
-- The last thing a person recorded here that was neither taken back nor is an undo. What a
-- count or weighing booked by itself is nothing a person did.
SELECT e.id FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.person = sqlc.arg(person)::text AND e.pos IS NULL AND e.kind <> 'undo' AND u.id IS NULL
    AND NOT (e.kind IN ('count', 'weighing') AND e.reference <> '' AND substr(e.id::text, 15, 1) = '5')
ORDER BY s.seq DESC LIMIT 1;

-- name: CountedPart :one
-- The part that a count or a weighing looked at.
SELECT q.code FROM part AS q WHERE q.id = coalesce((SELECT c.part_id FROM count_line AS c WHERE c.entry_id = $1),
    (SELECT t.part_id FROM weighing AS w JOIN tag AS t ON t.id = w.tag_id WHERE w.entry_id = $1));

-- name: EntryTwins :many
-- Records that say the same as this one within six hours of it: of its kind, not taken back,
-- as much of each part from and to the same places. What was found goes by other lots, so
-- flows are by part, and those from and to a count's difference are left out.
WITH near AS (
    SELECT e.id, coalesce(e.person, '')::text AS person, e.happened_at, e.id = mine.id AS is_mine
    FROM entry AS mine JOIN entry AS e ON e.season_id = mine.season_id AND e.kind = mine.kind
        AND e.happened_at BETWEEN mine.happened_at - interval '6 hours' AND mine.happened_at + interval '6 hours'
    WHERE mine.id = sqlc.arg(id) AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id)
), flows AS (
    SELECT v.entry_id, l.part_id, v.from_id, v.to_id, sum(v.quantity) AS quantity
    FROM near JOIN movement AS v ON v.entry_id = near.id JOIN lot AS l ON l.id = v.lot_id
        JOIN place AS f ON f.id = v.from_id JOIN place AS t ON t.id = v.to_id
    WHERE f.code <> 'count difference' AND t.code <> 'count difference'
    GROUP BY v.entry_id, l.part_id, v.from_id, v.to_id
), said AS (
    SELECT entry_id, string_agg(concat_ws(' ', part_id, from_id, to_id, quantity), ';' ORDER BY part_id, from_id, to_id) AS what
    FROM flows GROUP BY entry_id
)
SELECT n.id, n.person, n.happened_at
FROM near AS m JOIN said AS a ON a.entry_id = m.id AND m.is_mine
    JOIN said AS b ON b.what = a.what
    JOIN near AS n ON n.id = b.entry_id AND NOT n.is_mine
ORDER BY n.happened_at DESC, n.id;
