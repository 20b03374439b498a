-- name: EntryPut :execrows
INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash, undoes, code, reference,
    due_back_on, notes, pos)
SELECT r.id, sqlc.arg(season_id)::integer, r.kind, nullif(r.person, ''), r.happened_at,
    sqlc.arg(recorded_at)::timestamptz, decode(r.request_hash, 'hex'), r.undoes, nullif(r.code, ''), r.reference,
    r.due_back_on, r.notes, r.sheet_pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (id uuid, kind text, person text, happened_at timestamptz,
    request_hash text, undoes uuid, code text, reference text, due_back_on date, notes text, sheet_pos integer);

-- name: EntrySeqPut :exec
-- After the locks, in the order the entries were posted.
INSERT INTO entry_seq (entry_id)
SELECT r.id FROM unnest(sqlc.arg(ids)::uuid[]) WITH ORDINALITY AS r (id, n) ORDER BY r.n;

-- name: MovementPut :execrows
INSERT INTO movement (entry_id, quantity, lot_id, tag_id, from_id, to_id, n, notes)
SELECT r.entry_id, r.quantity, l.id, t.id, f.id, g.id, r.n, nullif(r.notes, '')
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (entry_id uuid, n smallint, lot text, tag text, from_place text,
        to_place text, quantity bigint, notes text)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = r.lot
    JOIN place AS f ON f.code = r.from_place
    JOIN place AS g ON g.code = r.to_place
    LEFT JOIN tag AS t ON t.season_id = sqlc.arg(season_id) AND t.code = nullif(r.tag, '')
WHERE r.tag = '' OR t.id IS NOT NULL;

-- name: BalanceOpen :exec
-- A row of 0 for every key that is new: an upsert with a negative amount would fail
-- the check though the row holds enough.
INSERT INTO balance (lot_id, tag_id, place_id, kept, quantity)
SELECT l.id, t.id, p.id, p.kept, 0
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (lot text, tag text, place text)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = r.lot
    JOIN place AS p ON p.code = r.place
    LEFT JOIN tag AS t ON t.season_id = sqlc.arg(season_id) AND t.code = nullif(r.tag, '')
ON CONFLICT DO NOTHING;

-- name: BalanceAdd :execrows
UPDATE balance AS b SET quantity = b.quantity + r.change
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (lot text, tag text, place text, change bigint)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = r.lot
    JOIN place AS p ON p.code = r.place
    LEFT JOIN tag AS t ON t.season_id = sqlc.arg(season_id) AND t.code = nullif(r.tag, '')
WHERE b.lot_id = l.id AND b.place_id = p.id AND b.tag_id IS NOT DISTINCT FROM t.id;

-- name: JobPut :execrows
INSERT INTO job (entry_id, season_id, round, service, assembly, arrived_at, used_nothing)
SELECT r.entry_id, sqlc.arg(season_id)::integer, nullif(r.round, ''), r.service, nullif(r.assembly, ''), r.arrived_at,
    r.used_nothing
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (entry_id uuid, round text, service text, assembly text,
    arrived_at timestamptz, used_nothing boolean);

-- name: CountLinePut :execrows
INSERT INTO count_line (entry_id, place_id, part_id, lot_id, tag_id, counted, book)
SELECT r.entry_id, p.id, q.id, l.id, t.id, r.counted, r.book
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (entry_id uuid, place text, part text, lot text, tag text,
        counted bigint, book bigint)
    JOIN place AS p ON p.code = r.place
    JOIN part AS q ON q.code = r.part
    LEFT JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = nullif(r.lot, '')
    LEFT JOIN tag AS t ON t.season_id = sqlc.arg(season_id) AND t.code = nullif(r.tag, '');

-- name: WeighingPut :execrows
INSERT INTO weighing (entry_id, tag_id, gross_mg, bench_c, book_ul)
SELECT r.entry_id, t.id, r.gross_mg, r.bench_c, r.book_ul
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (entry_id uuid, tag text, gross_mg bigint, bench_c numeric,
        book_ul bigint)
    JOIN tag AS t ON t.season_id = sqlc.arg(season_id) AND t.code = r.tag;
