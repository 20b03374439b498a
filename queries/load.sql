-- name: LoadLock :exec
-- A load takes this first: records and other loads wait, readers do not.
LOCK TABLE part IN EXCLUSIVE MODE;

-- name: EntryIDs :many
-- The records of a season that a workbook tells, and what they take back.
SELECT e.id, e.undoes FROM entry AS e LEFT JOIN entry AS v ON v.id = e.undoes
WHERE e.season_id = $1 AND coalesce(v.kind, e.kind) NOT IN ('plan', 'order');

-- name: PastMoves :many
-- Every movement of a season in the order of time and, within a minute, of arrival.
SELECT e.happened_at, l.code AS lot, coalesce(t.code, '')::text AS tag, f.code AS from_place, g.code AS to_place, m.quantity
FROM entry AS e
    JOIN entry_seq AS s ON s.entry_id = e.id
    JOIN movement AS m ON m.entry_id = e.id
    JOIN lot AS l ON l.id = m.lot_id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
    LEFT JOIN tag AS t ON t.id = m.tag_id
WHERE e.season_id = $1
ORDER BY e.happened_at, s.seq, m.n;

-- name: PastCounts :many
-- Counts, stock rows and weighings that have not been undone, in the same order.
SELECT e.happened_at, e.id, (e.kind = 'stock')::boolean AS exact, coalesce(p.code, '')::text AS place,
    q.code AS part, coalesce(l.code, '')::text AS lot, coalesce(t.code, '')::text AS tag
FROM entry AS e
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN count_line AS c ON c.entry_id = e.id
    LEFT JOIN weighing AS w ON w.entry_id = e.id
    LEFT JOIN tag AS t ON t.id = coalesce(c.tag_id, w.tag_id)
    LEFT JOIN lot AS l ON l.id = coalesce(c.lot_id, t.lot_id)
    JOIN part AS q ON q.id = coalesce(c.part_id, l.part_id)
    LEFT JOIN place AS p ON p.id = c.place_id
    LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = $1 AND (c.entry_id IS NOT NULL OR w.entry_id IS NOT NULL) AND u.id IS NULL
ORDER BY e.happened_at, s.seq;
