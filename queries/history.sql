-- The ledger as the workbook's sheets show it. A record's arrival is its number in the order in
-- which the season's records came in; changes of the plan and of orders stand in the sheets of
-- those, as they are now, and are no records there.

-- name: StockRowList :one
WITH arrived AS (
    SELECT e.id, row_number() OVER (ORDER BY s.seq) AS arrival FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
)
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT p.code AS place, q.code AS part, coalesce(l.code, '') AS lot, coalesce(t.code, '') AS tag,
        c.counted AS quantity, e.happened_at AS counted_at, a.arrival, e.notes, e.pos, s.seq
    FROM entry AS e
        JOIN count_line AS c ON c.entry_id = e.id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN arrived AS a ON a.id = e.id
        JOIN place AS p ON p.id = c.place_id
        JOIN part AS q ON q.id = c.part_id
        LEFT JOIN lot AS l ON l.id = c.lot_id
        LEFT JOIN tag AS t ON t.id = c.tag_id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'stock'
) AS r;

-- name: JobList :one
WITH arrived AS (
    SELECT e.id, row_number() OVER (ORDER BY s.seq) AS arrival FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
)
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at AS done_at, coalesce(e.person, '') AS person,
        coalesce(j.round, '') AS round, j.service, coalesce(j.assembly, '') AS assembly, j.arrived_at,
        u.happened_at AS undone_at, coalesce(u.person, '') AS undone_by, a.arrival, e.notes, e.pos, s.seq
    FROM job AS j
        JOIN entry AS e ON e.id = j.entry_id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN arrived AS a ON a.id = e.id
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
-- Movements that no job and no stock row made, the second of an entry named id/2; and whatever
-- else was recorded and stands in no other sheet: what the undo of a job took back, an undo of
-- what moved nothing, a case that was moved, a stock row that was corrected later.
WITH arrived AS (
    SELECT e.id, row_number() OVER (ORDER BY s.seq) AS arrival FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
), stocked AS (
    SELECT c.entry_id, first_value(c.entry_id) OVER (PARTITION BY c.place_id, c.lot_id, c.tag_id, e.happened_at ORDER BY a.arrival) AS first,
        count(*) OVER (PARTITION BY c.place_id, c.lot_id, c.tag_id, e.happened_at) AS times
    FROM entry AS e JOIN arrived AS a ON a.id = e.id JOIN count_line AS c ON c.entry_id = e.id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'stock'
)
SELECT coalesce(json_agg(r ORDER BY r.pos, r.arrival, r.n), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) || CASE WHEN m.n > 1 THEN '/' || m.n ELSE '' END AS code, e.happened_at,
        coalesce(e.person, '') AS person, coalesce(q.code, '') AS part, coalesce(l.code, '') AS lot, coalesce(t.code, '') AS tag,
        coalesce(f.code, '') AS from_place, coalesce(g.code, pm.parent, '') AS to_place, coalesce(m.quantity, 0) AS quantity,
        CASE WHEN e.kind = 'undo' THEN v.kind ELSE e.kind END AS reason, coalesce(st.first::text, e.reference) AS reference,
        CASE WHEN v.id IS NULL THEN '' WHEN v.kind IN ('count', 'weighing') AND vm.entry_id IS NULL THEN v.id::text
            ELSE coalesce(v.code, v.id::text) || CASE WHEN m.n > 1 AND v.kind <> 'job' THEN '/' || m.n ELSE '' END END AS undoes,
        e.due_back_on, coalesce(pm.place, '') AS moved_place, a.arrival, e.notes,
        CASE WHEN e.kind <> 'stock' THEN e.pos END AS pos, coalesce(m.n, 1) AS n
    FROM entry AS e
        JOIN arrived AS a ON a.id = e.id
        LEFT JOIN movement AS m ON m.entry_id = e.id
        LEFT JOIN lot AS l ON l.id = m.lot_id
        LEFT JOIN part AS q ON q.id = l.part_id
        LEFT JOIN place AS f ON f.id = m.from_id
        LEFT JOIN place AS g ON g.id = m.to_id
        LEFT JOIN tag AS t ON t.id = m.tag_id
        LEFT JOIN entry AS v ON v.id = e.undoes
        LEFT JOIN movement AS vm ON vm.entry_id = v.id AND vm.n = 1
        LEFT JOIN place_move AS pm ON pm.entry_id = e.id
        LEFT JOIN stocked AS st ON st.entry_id = e.id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind <> 'job' AND (e.kind <> 'stock' OR st.times > 1)
        AND (m.entry_id IS NOT NULL OR e.kind = 'stock' OR NOT EXISTS (SELECT FROM count_line AS c WHERE c.entry_id = e.id)
            AND NOT EXISTS (SELECT FROM weighing AS w WHERE w.entry_id = e.id))
) AS r;

-- name: CountList :one
WITH arrived AS (
    SELECT e.id, row_number() OVER (ORDER BY s.seq) AS arrival FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
)
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at, coalesce(e.person, '') AS person, p.code AS place,
        q.code AS part, c.counted, c.book, a.arrival, e.notes, e.pos, s.seq
    FROM entry AS e
        JOIN count_line AS c ON c.entry_id = e.id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN arrived AS a ON a.id = e.id
        JOIN place AS p ON p.id = c.place_id
        JOIN part AS q ON q.id = c.part_id
    WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'count'
) AS r;

-- name: WeighingList :one
WITH arrived AS (
    SELECT e.id, row_number() OVER (ORDER BY s.seq) AS arrival FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS v ON v.id = e.undoes
    WHERE e.season_id = sqlc.arg(season_id) AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order')
)
SELECT coalesce(json_agg(r ORDER BY r.pos, r.seq), '[]')::json AS rows
FROM (
    SELECT coalesce(e.code, e.id::text) AS code, e.happened_at, coalesce(e.person, '') AS person, t.code AS tag,
        w.gross_mg, w.bench_c, w.book_ul, a.arrival, e.notes, e.pos, s.seq
    FROM weighing AS w
        JOIN entry AS e ON e.id = w.entry_id
        JOIN entry_seq AS s ON s.entry_id = e.id
        JOIN arrived AS a ON a.id = e.id
        JOIN tag AS t ON t.id = w.tag_id
    WHERE e.season_id = sqlc.arg(season_id)
) AS r;

-- name: EntryCount :one
SELECT count(*) FROM entry;

-- name: LastHappened :one
-- The last record of a season; null when there is none.
SELECT max(happened_at)::timestamptz AS at FROM entry WHERE season_id = $1;
