-- What the planner sees: sums as of an instant, never movements. A season's stock is that
-- of its own lots: what is carried over is counted in at its start.

-- name: StockAsOf :many
SELECT q.code AS part, l.code AS lot, coalesce(t.code, '')::text AS tag, p.code AS place,
    sum(m.change)::bigint AS quantity
FROM (
        SELECT v.lot_id, v.tag_id, v.to_id AS place_id, v.quantity AS change
        FROM movement AS v JOIN entry AS e ON e.id = v.entry_id WHERE e.happened_at < sqlc.arg(before)
        UNION ALL
        SELECT v.lot_id, v.tag_id, v.from_id, -v.quantity
        FROM movement AS v JOIN entry AS e ON e.id = v.entry_id WHERE e.happened_at < sqlc.arg(before)
    ) AS m
    JOIN place AS p ON p.id = m.place_id AND p.kept
    JOIN lot AS l ON l.id = m.lot_id AND l.season_id = sqlc.arg(season_id)
    JOIN part AS q ON q.id = l.part_id
    LEFT JOIN tag AS t ON t.id = m.tag_id
GROUP BY q.pos, q.code, l.pos, l.code, t.pos, t.code, p.code
HAVING sum(m.change) > 0
ORDER BY q.pos, l.pos, l.code, t.pos, p.code;

-- name: StockNow :many
SELECT q.code AS part, l.code AS lot, coalesce(t.code, '')::text AS tag, p.code AS place, b.quantity
FROM balance AS b
    JOIN place AS p ON p.id = b.place_id
    JOIN lot AS l ON l.id = b.lot_id
    JOIN part AS q ON q.id = l.part_id
    LEFT JOIN tag AS t ON t.id = b.tag_id
WHERE b.kept AND b.quantity > 0 AND l.season_id = sqlc.arg(season_id)
ORDER BY q.pos, l.pos, l.code, t.pos, p.code;

-- name: DoneJobs :many
-- Jobs done by then at rounds that are not over: those of which something may be left to
-- do. An undone one counts until its undo.
SELECT coalesce(j.round, '')::text AS round, j.service, coalesce(j.assembly, '')::text AS assembly, count(*)::integer AS jobs
FROM job AS j JOIN entry AS e ON e.id = j.entry_id LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before)
    AND (u.id IS NULL OR u.happened_at >= sqlc.arg(before))
    AND j.season_id = sqlc.arg(season_id) AND j.round IN (SELECT r.code FROM round AS r WHERE r.season_id = sqlc.arg(season_id) AND r.last_on > sqlc.arg(today)::date)
GROUP BY j.round, j.service, j.assembly
ORDER BY 1, 2, 3;

-- name: PartUse :many
-- What jobs moved to "used" by then of each part with an allocation, undone jobs taken
-- back, from any lot.
SELECT q.code AS part, sum(CASE WHEN g.code = 'used' THEN m.quantity ELSE -m.quantity END)::bigint AS quantity
FROM part AS q
    JOIN lot AS l ON l.part_id = q.id AND l.season_id = sqlc.arg(season_id)
    JOIN movement AS m ON m.lot_id = l.id
    JOIN entry AS e ON e.id = m.entry_id
    LEFT JOIN entry AS v ON v.id = e.undoes
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
WHERE q.code IN (SELECT a.part FROM allocation AS a)
    AND e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before) AND coalesce(v.kind, e.kind) = 'job'
    AND (g.code = 'used' OR f.code = 'used')
GROUP BY q.pos, q.code
ORDER BY q.pos;

-- name: PackedFor :many
-- Cases that stock was packed into for a trip by then; what was taken back was not.
SELECT DISTINCT e.reference AS trip, p.code AS travel_case
FROM entry AS e JOIN movement AS m ON m.entry_id = e.id JOIN place AS p ON p.id = m.to_id
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'pack' AND e.happened_at < sqlc.arg(before) AND p.kind = 'case'
    AND e.reference <> '' AND u.id IS NULL
ORDER BY 1, 2;

-- name: LentDue :many
-- When lent things are due back.
SELECT l.code AS lot, coalesce(t.code, '')::text AS tag, p.code AS place, max(e.due_back_on)::date AS due_back_on
FROM entry AS e
    JOIN movement AS m ON m.entry_id = e.id
    JOIN place AS p ON p.id = m.to_id AND p.kind = 'lent'
    JOIN lot AS l ON l.id = m.lot_id
    LEFT JOIN tag AS t ON t.id = m.tag_id
WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'lend' AND e.happened_at < sqlc.arg(before) AND e.due_back_on IS NOT NULL
GROUP BY l.code, t.code, p.code
ORDER BY 1, 2, 3;

-- name: ParentsAsOf :many
-- Where places stood inside others by then, where that was changed after the sheet.
SELECT DISTINCT ON (m.place) m.place, coalesce(m.parent, '')::text AS parent
FROM place_move AS m JOIN entry AS e ON e.id = m.entry_id JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
WHERE e.happened_at < sqlc.arg(before) AND u.id IS NULL
ORDER BY m.place, e.happened_at DESC, s.seq DESC;

-- name: HistoryOf :many
-- Every movement of a part by then, in the order of time: who moved what, for which job.
SELECT e.id, e.happened_at, coalesce(e.person, '')::text AS person, coalesce(v.kind, e.kind)::text AS kind,
    (e.undoes IS NOT NULL)::boolean AS undone, (u.id IS NOT NULL)::boolean AS taken_back, (d.entry_id IS NOT NULL)::boolean AS redo,
    (r.entry_id IS NOT NULL)::boolean AS put_back, coalesce(j.service, '')::text AS service, coalesce(j.assembly, '')::text AS assembly,
    l.code AS lot, coalesce(t.code, '')::text AS tag, f.code AS from_place, g.code AS to_place, m.quantity, e.reference,
    coalesce(m.notes, e.notes) AS notes
FROM movement AS m
    JOIN entry AS e ON e.id = m.entry_id
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS v ON v.id = e.undoes
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
    LEFT JOIN redo AS d ON d.entry_id = e.id
    LEFT JOIN redo AS r ON r.redoes = u.id
    LEFT JOIN job AS j ON j.entry_id = coalesce(e.undoes, e.id)
    JOIN lot AS l ON l.id = m.lot_id
    JOIN part AS q ON q.id = l.part_id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
    LEFT JOIN tag AS t ON t.id = m.tag_id
WHERE e.season_id = sqlc.arg(season_id) AND q.code = sqlc.arg(part)::text AND e.happened_at < sqlc.arg(before)
ORDER BY e.happened_at, s.seq, m.n;

-- name: JobsOf :many
-- The jobs done by then, the latest first, with what undid them.
SELECT e.id, coalesce(e.code, '')::text AS code, e.happened_at, e.recorded_at, coalesce(e.person, '')::text AS person,
    coalesce(j.round, '')::text AS round, j.service, coalesce(j.assembly, '')::text AS assembly, e.notes,
    u.happened_at AS undone_at, coalesce(u.person, '')::text AS undone_by, b.id AS redone_by, b.happened_at AS redone_at, v.undoes AS redoes
FROM job AS j
    JOIN entry AS e ON e.id = j.entry_id
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
    LEFT JOIN redo AS r ON r.redoes = u.id
    LEFT JOIN entry AS b ON b.id = r.entry_id AND b.happened_at < sqlc.arg(before)
    LEFT JOIN redo AS d ON d.entry_id = e.id
    LEFT JOIN entry AS v ON v.id = d.redoes
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before)
ORDER BY e.happened_at DESC, s.seq DESC;
