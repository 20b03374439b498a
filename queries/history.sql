-- The ledger as the workbook's sheets show it.

-- name: StockRowList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT p.code AS place, q.code AS part, coalesce(l.code, '') AS lot, coalesce(t.code, '') AS tag,
        c.counted AS quantity, e.happened_at AS counted_at, e.notes, e.pos, s.seq
    FROM entry AS e
        JOIN count_line AS c ON c.entry_id = e.id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN place AS p ON p.id = c.place_id
        JOIN part AS q ON q.id = c.part_id
        LEFT JOIN lot AS l ON l.id = c.lot_id
        LEFT JOIN tag AS t ON t.id = c.tag_id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'stock'
) AS r;

-- name: JobList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at AS done_at, coalesce(e.person, '') AS person,
        coalesce(j.round, '') AS round, j.service, coalesce(j.assembly, '') AS assembly, j.arrived_at,
        u.happened_at AS undone_at, coalesce(u.person, '') AS undone_by, e.notes, e.pos, s.seq
    FROM job AS j
        JOIN entry AS e ON e.id = j.entry_id
        JOIN entry_seq AS s ON s.entry_id = e.id
        LEFT JOIN entry AS u ON u.undoes = e.id
    WHERE e.season_id = sqlc.arg(season_id)
) AS r;

-- name: JobPartList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq, r.n), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS job, q.code AS part, l.code AS lot, coalesce(t.code, '') AS tag,
        f.code AS from_place, g.code AS to_place, m.quantity, coalesce(m.notes, '') AS notes, e.pos, s.seq, m.n
    FROM job AS j
        JOIN entry AS e ON e.id = j.entry_id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN movement AS m ON m.entry_id = e.id
        JOIN lot AS l ON l.id = m.lot_id
        JOIN part AS q ON q.id = l.part_id
        JOIN place AS f ON f.id = m.from_id
        JOIN place AS g ON g.id = m.to_id
        LEFT JOIN tag AS t ON t.id = m.tag_id
    WHERE e.season_id = sqlc.arg(season_id)
    UNION ALL
    SELECT coalesce(e.code, e.id::text), '', '', '', '', '', NULL, '', e.pos, s.seq, 0
    FROM job AS j JOIN entry AS e ON e.id = j.entry_id JOIN entry_seq AS s ON s.entry_id = e.id
    WHERE e.season_id = sqlc.arg(season_id) AND j.used_nothing
) AS r;

-- name: MovementList :one
-- Movements that no job and no stock row made; the second movement of an entry is named id/2.
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq, r.n), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) || CASE WHEN m.n > 1 THEN '/' || m.n ELSE '' END AS code, e.happened_at,
        coalesce(e.person, '') AS person, q.code AS part, l.code AS lot, coalesce(t.code, '') AS tag,
        f.code AS from_place, g.code AS to_place, m.quantity,
        CASE WHEN e.kind = 'undo' THEN v.kind ELSE e.kind END AS reason, e.reference,
        CASE WHEN v.id IS NULL THEN '' ELSE coalesce(v.code, v.id::text) || CASE WHEN m.n > 1 THEN '/' || m.n ELSE '' END
            END AS undoes,
        e.due_back_on, e.notes, e.pos, s.seq, m.n
    FROM entry AS e
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN movement AS m ON m.entry_id = e.id
        JOIN lot AS l ON l.id = m.lot_id
        JOIN part AS q ON q.id = l.part_id
        JOIN place AS f ON f.id = m.from_id
        JOIN place AS g ON g.id = m.to_id
        LEFT JOIN tag AS t ON t.id = m.tag_id
        LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind NOT IN ('stock', 'job') AND coalesce(v.kind, '') <> 'job'
) AS r;

-- name: CountList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at, coalesce(e.person, '') AS person, p.code AS place,
        q.code AS part, c.counted, c.book, e.notes, e.pos, s.seq
    FROM entry AS e
        JOIN count_line AS c ON c.entry_id = e.id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN place AS p ON p.id = c.place_id
        JOIN part AS q ON q.id = c.part_id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'count'
) AS r;

-- name: WeighingList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at, coalesce(e.person, '') AS person, t.code AS tag,
        w.gross_mg, w.bench_c, w.book_ul, e.notes, e.pos, s.seq
    FROM weighing AS w
        JOIN entry AS e ON e.id = w.entry_id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN tag AS t ON t.id = w.tag_id
    WHERE e.season_id = sqlc.arg(season_id)
) AS r;

-- name: EntryCount :one
SELECT count(*) FROM entry;

-- name: LastHappened :one
-- The last record of a season; null when there is none.
SELECT max(happened_at)::timestamptz AS at FROM entry WHERE season_id = $1;
