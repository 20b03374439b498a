-- name: SpendMoves :many
-- What left our places for good, or was found, grouped by one view and by lot: a use of a
-- lot costs what that lot cost, so money is reckoned from these sums and never rounded
-- before. What was undone is taken back. A found difference belongs to no round, rider,
-- assembly or service.
SELECT (CASE
        WHEN sqlc.arg(view)::text = 'kind' THEN q.kind
        WHEN sqlc.arg(view)::text = 'supplier' THEN coalesce(l.supplier, '')
        WHEN sqlc.arg(view)::text = 'month' THEN to_char(e.happened_at AT TIME ZONE sqlc.arg(zone)::text, 'YYYY-MM')
        WHEN x.outside = 'count difference' THEN ''
        WHEN sqlc.arg(view)::text = 'round' THEN coalesce(j.round, '')
        WHEN sqlc.arg(view)::text = 'service' THEN coalesce(j.service, '')
        WHEN sqlc.arg(view)::text = 'assembly' THEN coalesce(j.assembly, '')
        WHEN sqlc.arg(view)::text = 'rider' THEN coalesce(a.rider, '')
        ELSE ''
    END)::text AS key,
    x.outside::text AS outside, l.code AS lot, sum(x.change)::bigint AS quantity
FROM movement AS m
    JOIN entry AS e ON e.id = m.entry_id
    JOIN lot AS l ON l.id = m.lot_id
    JOIN part AS q ON q.id = l.part_id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
    LEFT JOIN job AS j ON j.entry_id = coalesce(e.undoes, e.id)
    LEFT JOIN assembly AS a ON a.code = j.assembly
    CROSS JOIN LATERAL (VALUES (g.code, m.quantity), (f.code, -m.quantity)) AS x (outside, change)
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(since) AND e.happened_at < sqlc.arg(before)
    AND x.outside IN ('used', 'scrap', 'count difference')
GROUP BY 1, 2, 3
HAVING sum(x.change) <> 0
ORDER BY 1, 2, 3;
