-- name: RecordBegin :one
-- Claims the entry's id, locks the parts, returns what the choice of stock needs.
SELECT record_begin(sqlc.arg(season_id)::integer, sqlc.arg(id)::uuid, sqlc.arg(kind)::text, sqlc.arg(person)::text,
    sqlc.arg(happened_at)::timestamptz, sqlc.arg(request_hash)::bytea, sqlc.narg(undoes)::uuid, sqlc.arg(reference)::text,
    sqlc.narg(due_back_on)::date, sqlc.arg(notes)::text, sqlc.arg(parts)::text[],
    sqlc.arg(service)::text, sqlc.arg(assembly)::text, sqlc.arg(trip)::text)::json AS facts;

-- name: RecordWrite :exec
-- Stores what the ledger made of records, all or nothing.
SELECT record_write(sqlc.arg(season_id)::integer, sqlc.arg(entries)::json, sqlc.arg(movements)::json,
    sqlc.arg(balances)::json, sqlc.arg(jobs)::json, sqlc.arg(counts)::json, sqlc.arg(weighings)::json,
    sqlc.arg(opened)::json, sqlc.arg(place_moves)::json);

-- name: RecordTogether :one
-- Stores jobs posted from the stock at the versions given, unless one is recorded already.
SELECT record_together(sqlc.arg(season_id)::integer, sqlc.arg(plan)::bigint, sqlc.arg(ids)::uuid[], sqlc.arg(part_ids)::integer[],
    sqlc.arg(versions)::bigint[], sqlc.arg(last_at)::timestamptz[], sqlc.arg(entries)::json, sqlc.arg(movements)::json,
    sqlc.arg(balances)::json, sqlc.arg(jobs)::json, sqlc.arg(opened)::json)::json AS answer;

-- name: StockOfParts :one
-- What a choice of stock is made from: lots, tags and balances of parts, at their versions.
SELECT json_build_object(
    'parts', (SELECT coalesce(json_agg(json_build_object('id', p.id, 'code', p.code, 'version', s.version,
            'last_at', CASE WHEN isfinite(s.last_at) THEN s.last_at END)), '[]')
        FROM part AS p JOIN part_stock AS s ON s.part_id = p.id WHERE p.code = ANY (sqlc.arg(parts)::text[])),
    'lots', (SELECT coalesce(json_agg(json_build_object('code', l.code, 'part', p.code, 'received_on', l.received_on, 'expires_on', l.expires_on,
            'quantity', l.quantity) ORDER BY l.pos, l.code), '[]')
        FROM part AS p JOIN lot AS l ON l.part_id = p.id AND l.season_id = sqlc.arg(season_id) WHERE p.code = ANY (sqlc.arg(parts)::text[])),
    'tags', (SELECT coalesce(json_agg(json_build_object('code', t.code, 'lot', l.code, 'part', p.code, 'tare_mg', t.tare_mg,
            'contents', t.contents, 'opened_on', t.opened_on) ORDER BY t.pos, t.code), '[]')
        FROM part AS p JOIN lot AS l ON l.part_id = p.id AND l.season_id = sqlc.arg(season_id) JOIN tag AS t ON t.lot_id = l.id
        WHERE p.code = ANY (sqlc.arg(parts)::text[])),
    'balances', (SELECT coalesce(json_agg(json_build_object('lot', l.code, 'tag', coalesce(t.code, ''), 'place', g.code, 'quantity', b.quantity,
            'used_at', b.used_at)), '[]')
        FROM part AS p JOIN lot AS l ON l.part_id = p.id AND l.season_id = sqlc.arg(season_id)
            JOIN balance AS b ON b.lot_id = l.id AND b.kept AND (b.quantity <> 0 OR b.used_at IS NOT NULL)
            JOIN place AS g ON g.id = b.place_id LEFT JOIN tag AS t ON t.id = b.tag_id
        WHERE p.code = ANY (sqlc.arg(parts)::text[])))::json AS stock;

-- name: PlacesMoved :exec
-- Where a record moved a place, or took such a move back, the plan has changed.
UPDATE plan_version SET version = version + 1
WHERE EXISTS (SELECT FROM entry AS e JOIN place_move AS m ON m.entry_id IN (e.id, e.undoes) WHERE e.id = sqlc.arg(id));

-- name: PlaceMoveLast :one
-- When a place was last moved, or such a move last taken back; 1970: never.
SELECT coalesce(max(e.happened_at), 'epoch')::timestamptz AS at
FROM place_move AS m JOIN entry AS e ON m.entry_id IN (e.id, e.undoes);

-- name: PlanVersion :one
SELECT version FROM plan_version;

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
-- Differences that a count or weighing booked are not things a person did.
-- The last thing a person recorded that was neither taken back nor is an undo.
SELECT e.id FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.person = sqlc.arg(person)::text AND e.kind <> 'undo' AND u.id IS NULL
    AND NOT (e.kind IN ('count', 'weighing') AND e.reference <> '' AND substr(e.id::text, 15, 1) = '5')
ORDER BY s.seq DESC LIMIT 1;

-- name: CountedPart :one
-- The part that a count or a weighing looked at.
SELECT q.code FROM part AS q WHERE q.id = coalesce((SELECT c.part_id FROM count_line AS c WHERE c.entry_id = $1),
    (SELECT t.part_id FROM weighing AS w JOIN tag AS t ON t.id = w.tag_id WHERE w.entry_id = $1));
