-- What a trip took along, used and brought back.

-- name: PackEntries :many
-- How many records packed for each trip, undone ones too: the next one gets a number of its own.
SELECT reference AS trip, count(*) AS packed FROM entry WHERE season_id = sqlc.arg(season_id) AND kind = 'pack' GROUP BY reference ORDER BY reference;

-- name: PackLock :exec
-- Whoever packs for a trip waits for whoever is at it.
SELECT id FROM trip WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(trip)::text FOR NO KEY UPDATE;

-- name: PackEntriesOf :one
-- How many other records packed for a trip, undone ones too.
SELECT count(*) FROM entry WHERE season_id = sqlc.arg(season_id) AND kind = 'pack' AND reference = sqlc.arg(trip)::text AND id <> sqlc.arg(but)::uuid;

-- name: TripFirsts :many
-- When something was first packed or moved for each trip, by a record that stands.
SELECT e.reference AS trip, min(e.happened_at)::timestamptz AS at
FROM entry AS e LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
WHERE e.season_id = sqlc.arg(season_id) AND e.kind IN ('pack', 'move') AND e.reference <> '' AND e.happened_at < sqlc.arg(before)
    AND u.id IS NULL
GROUP BY e.reference
ORDER BY 1;

-- name: MovesBetween :many
-- Every movement from one instant to before another, in the order of time; never who made it.
SELECT e.id, e.happened_at, coalesce(v.kind, e.kind)::text AS kind, e.undoes, (u.id IS NOT NULL)::boolean AS taken_back,
    coalesce(j.round, '')::text AS round, coalesce(j.service, '')::text AS service, coalesce(j.assembly, '')::text AS assembly,
    q.code AS part, l.code AS lot, coalesce(t.code, '')::text AS tag, f.code AS from_place, g.code AS to_place, m.quantity,
    e.reference, coalesce(m.notes, e.notes) AS notes
FROM movement AS m
    JOIN entry AS e ON e.id = m.entry_id
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS v ON v.id = e.undoes
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
    LEFT JOIN job AS j ON j.entry_id = coalesce(e.undoes, e.id)
    JOIN lot AS l ON l.id = m.lot_id
    JOIN part AS q ON q.id = l.part_id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
    LEFT JOIN tag AS t ON t.id = m.tag_id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(since) AND e.happened_at < sqlc.arg(before)
ORDER BY e.happened_at, s.seq, m.n;

-- name: CountedBefore :many
-- Every count and weighing by then, in the order of time.
SELECT e.id, coalesce(e.code, '')::text AS code, e.happened_at, (u.id IS NOT NULL)::boolean AS undone,
    coalesce(p.code, '')::text AS place, q.code AS part, coalesce(t.code, '')::text AS tag,
    coalesce(c.counted, 0)::bigint AS counted, coalesce(c.book, 0)::bigint AS book, (c.book IS NOT NULL)::boolean AS known_book, e.notes
FROM entry AS e
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN count_line AS c ON c.entry_id = e.id
    LEFT JOIN weighing AS w ON w.entry_id = e.id
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
    LEFT JOIN place AS p ON p.id = c.place_id
    LEFT JOIN tag AS t ON t.id = coalesce(c.tag_id, w.tag_id)
    JOIN part AS q ON q.id = coalesce(c.part_id, t.part_id)
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before)
ORDER BY e.happened_at, s.seq;

-- name: DifferenceReasons :many
-- Reasons chosen later for a difference: records that only say why, of the record named. The
-- last one stands.
SELECT e.reference, e.notes
FROM entry AS e
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS u ON u.undoes = e.id AND u.happened_at < sqlc.arg(before)
WHERE e.season_id = sqlc.arg(season_id) AND e.kind = 'count' AND e.happened_at < sqlc.arg(before) AND e.reference <> '' AND e.notes <> ''
    AND u.id IS NULL
    AND NOT EXISTS (SELECT FROM count_line AS c WHERE c.entry_id = e.id)
    AND NOT EXISTS (SELECT FROM movement AS m WHERE m.entry_id = e.id)
ORDER BY s.seq;

-- name: TripBack :exec
-- A trip is back on a day.
UPDATE trip SET back_on = sqlc.arg(on_day)::date WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(trip);

-- name: EntriesByEnd :many
-- The records whose id ends so: what people type of one.
SELECT id FROM entry WHERE season_id = sqlc.arg(season_id) AND right(id::text, 12) LIKE '%' || sqlc.arg(ending)::text ORDER BY id LIMIT 3;
