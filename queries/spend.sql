-- What left our places for good, or was found, grouped by the key of a view, by lot and by
-- the outside it went to or came from. A use of a lot costs what that lot cost, so money is
-- reckoned from these sums and never rounded before; what was undone takes itself back.
-- Views of the lot (kind, supplier, budget line) need no key here.

-- name: OutsidePlaces :many
SELECT id, code FROM place WHERE code IN ('used', 'scrap', 'count difference');

-- name: SpendMemory :exec
-- For this transaction: sums of a large season by round and lot in memory, not on the disk,
-- and each question planned for what it asks, since a view leaves most joins out.
SELECT set_config('work_mem', '64MB', true), set_config('plan_cache_mode', 'force_custom_plan', true);

-- name: SpendByJob :many
-- All there is, by what is known of the job: the plain way is the quick one. The money is
-- put to the sums afterwards, a thousand times less often than there are movements. What
-- was taken back stands under no key: SpendTakenBack puts it where it belongs. A key comes
-- as one row: tens of thousands of rows took longer to send than to sum.
SELECT x.key, array_agg(x.lot_id)::integer[] AS lots, array_agg(x.used)::bigint[] AS used, array_agg(x.scrapped)::bigint[] AS scrapped,
    array_agg(x.missing)::bigint[] AS missing
FROM (
        SELECT coalesce(CASE sqlc.arg(view)::text WHEN 'round' THEN j.round WHEN 'service' THEN j.service WHEN 'assembly' THEN j.assembly WHEN 'rider' THEN a.rider END, '')::text AS key, m.lot_id,
            coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
            coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
            coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
        FROM movement AS m LEFT JOIN job AS j ON j.entry_id = m.entry_id LEFT JOIN assembly AS a ON a.code = j.assembly
        WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
            AND (sqlc.narg(own)::integer[] IS NULL OR m.lot_id = ANY (sqlc.narg(own)::integer[]))
        GROUP BY 1, 2
    ) AS x
GROUP BY x.key;

-- name: SpendTakenBack :many
-- The undone part of SpendByJob: added to the key of what was undone, and taken from none.
SELECT coalesce(CASE sqlc.arg(view)::text WHEN 'round' THEN j.round WHEN 'service' THEN j.service WHEN 'assembly' THEN j.assembly WHEN 'rider' THEN a.rider END, '')::text AS key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM entry AS u JOIN job AS j ON j.entry_id = u.undoes LEFT JOIN assembly AS a ON a.code = j.assembly JOIN movement AS m ON m.entry_id = u.id
WHERE u.undoes IS NOT NULL AND (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
GROUP BY 1, 2;

-- name: SpendByLot :many
-- All there is, for the views of the lot.
SELECT ''::text AS key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM movement AS m
WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
    AND (sqlc.narg(lots)::integer[] IS NULL OR m.lot_id = ANY (sqlc.narg(lots)::integer[]))
GROUP BY m.lot_id;

-- name: SpendByMonth :many
-- All there is, where no month is closed; starts are the instants at which months begin.
SELECT coalesce(k.key, '')::text AS key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM (
        SELECT e.id, (sqlc.arg(months)::text[])[width_bucket(e.happened_at, sqlc.arg(starts)::timestamptz[])] AS key
        FROM entry AS e WHERE e.season_id = sqlc.arg(season_id)
        OFFSET 0 -- keys are worked out once an entry, not once a movement
    ) AS k
    JOIN movement AS m ON m.entry_id = k.id
WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
GROUP BY 1, 2;

-- name: SpendLater :one
-- Whether a season holds records of an instant or later.
SELECT EXISTS (SELECT FROM entry WHERE season_id = sqlc.arg(season_id) AND happened_at >= sqlc.arg(before));

-- name: SpendSpan :one
-- When a season's first and last records happened; where there are none, at the instant given.
SELECT coalesce(min(happened_at), sqlc.arg(otherwise)::timestamptz)::timestamptz AS first, coalesce(max(happened_at), sqlc.arg(otherwise)::timestamptz)::timestamptz AS last
FROM entry WHERE season_id = sqlc.arg(season_id);

-- name: SpendMoves :many
-- Of the days from since to before, whatever is closed.
SELECT k.key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM (
        SELECT e.id, (CASE sqlc.arg(view)::text
            WHEN 'round' THEN coalesce(e.round, '')
            WHEN 'service' THEN coalesce(e.service, '')
            WHEN 'assembly' THEN coalesce(e.assembly, '')
            WHEN 'rider' THEN coalesce(e.rider, '')
            WHEN 'month' THEN to_char(coalesce(
                (SELECT min(c.month) FROM closed_month AS c WHERE c.month >= date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text) AND e.seq <= c.last_entry),
                greatest(date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text), sqlc.arg(open_month)::date)), 'YYYY-MM')
            ELSE '' END)::text AS key
        FROM spend_entry AS e
        WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(since) AND e.happened_at < sqlc.arg(before)
        OFFSET 0
    ) AS k
    JOIN movement AS m ON m.entry_id = k.id
WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
GROUP BY 1, 2;

-- name: SpendOpenMoves :many
-- Of what is not closed: what happened after the closed months, and what came too late for
-- them. In the month view what is late stands in the open month.
SELECT k.key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM (
        SELECT e.id, (CASE sqlc.arg(view)::text
            WHEN 'round' THEN coalesce(e.round, '')
            WHEN 'service' THEN coalesce(e.service, '')
            WHEN 'assembly' THEN coalesce(e.assembly, '')
            WHEN 'rider' THEN coalesce(e.rider, '')
            WHEN 'month' THEN to_char(greatest(date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text), sqlc.arg(open_month)::date), 'YYYY-MM')
            ELSE '' END)::text AS key
        FROM (
                SELECT i.id, i.season_id, i.happened_at, i.round, i.service, i.assembly, i.rider FROM spend_entry AS i
                WHERE i.season_id = sqlc.arg(season_id) AND i.happened_at >= sqlc.arg(closed_end) AND i.happened_at < sqlc.arg(before)
                UNION ALL
                SELECT i.id, i.season_id, i.happened_at, i.round, i.service, i.assembly, i.rider FROM spend_entry AS i
                WHERE i.season_id = sqlc.arg(season_id) AND i.seq > sqlc.arg(last_entry)::bigint AND i.happened_at < sqlc.arg(closed_end)
                    AND i.happened_at < sqlc.arg(before)
            ) AS e
    ) AS k
    JOIN movement AS m ON m.entry_id = k.id
WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
GROUP BY 1, 2;

-- name: SpendClosedMoves :many
-- Of what is closed, some lots only (null: all): those that a later cost values anew.
SELECT k.key, m.lot_id,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(used)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(used)::integer THEN -m.quantity END), 0)::bigint AS used,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(scrap)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(scrap)::integer THEN -m.quantity END), 0)::bigint AS scrapped,
    coalesce(whole_sum(CASE WHEN m.to_id = sqlc.arg(missing)::integer THEN m.quantity WHEN m.from_id = sqlc.arg(missing)::integer THEN -m.quantity END), 0)::bigint AS missing
FROM (
        SELECT e.id, (CASE sqlc.arg(view)::text
            WHEN 'round' THEN coalesce(e.round, '')
            WHEN 'service' THEN coalesce(e.service, '')
            WHEN 'assembly' THEN coalesce(e.assembly, '')
            WHEN 'rider' THEN coalesce(e.rider, '')
            WHEN 'month' THEN to_char(coalesce(
                (SELECT min(c.month) FROM closed_month AS c WHERE c.month >= date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text) AND e.seq <= c.last_entry),
                greatest(date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text), sqlc.arg(open_month)::date)), 'YYYY-MM')
            ELSE '' END)::text AS key
        FROM spend_entry AS e
        WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(closed_end) AND e.seq <= sqlc.arg(last_entry)::bigint
        OFFSET 0
    ) AS k
    JOIN movement AS m ON m.entry_id = k.id
WHERE (m.to_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)) OR m.from_id IN (sqlc.arg(used), sqlc.arg(scrap), sqlc.arg(missing)))
    AND (sqlc.narg(lots)::integer[] IS NULL OR m.lot_id = ANY (sqlc.narg(lots)::integer[]))
GROUP BY 1, 2;

-- name: SpendCounts :many
-- How many movements of some lots there were: those that cannot be valued. Of the days
-- asked for; where not all, of what no closed month holds.
SELECT m.lot_id, p.code AS outside, count(*) AS moves
FROM movement AS m
    JOIN entry AS e ON e.id = m.entry_id
    JOIN place AS p ON p.id IN (m.from_id, m.to_id) AND p.code IN ('used', 'scrap', 'count difference')
    LEFT JOIN entry_seq AS s ON s.entry_id = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(since) AND e.happened_at < sqlc.arg(before) AND m.lot_id = ANY (sqlc.arg(lots)::integer[])
    AND (sqlc.arg(whole)::boolean OR e.happened_at >= sqlc.arg(closed_end) OR s.seq > sqlc.arg(last_entry)::bigint)
GROUP BY 1, 2
ORDER BY 1, 2;

-- name: LotsElsewhere :one
-- Whether other seasons have lots too.
SELECT EXISTS (SELECT FROM lot WHERE season_id <> $1);

-- name: LotIDs :many
SELECT id, code FROM lot WHERE season_id = $1;

-- name: LotCosts :many
-- Every cost row of the season's lots, in the order in which they became known.
SELECT c.id::bigint AS seq, l.code AS lot, c.kind, c.amount, c.currency, c.source, c.known_on
FROM lot_cost AS c JOIN lot AS l ON l.id = c.lot_id
WHERE l.season_id = $1
ORDER BY c.id;

-- name: LateEntries :many
-- What came after the last closing and happened before it.
SELECT e.id, e.kind, coalesce(e.code, '')::text AS code, e.happened_at
FROM entry_seq AS s JOIN entry AS e ON e.id = s.entry_id
WHERE s.seq > sqlc.arg(last_entry)::bigint AND e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(closed_end)
ORDER BY e.happened_at, s.seq;

-- name: SpendFlows :many
-- What each lot took from the outside (above 0) and gave to it (below 0), by outside place.
SELECT l.code AS lot, p.code AS place, sum(x.quantity)::bigint AS quantity
FROM (
        SELECT m.lot_id, m.from_id AS place_id, m.quantity
        FROM movement AS m JOIN entry AS e ON e.id = m.entry_id WHERE e.happened_at < sqlc.arg(before)
        UNION ALL
        SELECT m.lot_id, m.to_id, -m.quantity
        FROM movement AS m JOIN entry AS e ON e.id = m.entry_id WHERE e.happened_at < sqlc.arg(before)
    ) AS x
    JOIN place AS p ON p.id = x.place_id AND NOT p.kept
    JOIN lot AS l ON l.id = x.lot_id
WHERE l.season_id = sqlc.arg(season_id)
GROUP BY l.code, p.code
HAVING sum(x.quantity) <> 0
ORDER BY 1, 2;

-- name: SpendTrace :many
-- Every movement that cost something or was found, with the record it belongs to.
SELECT e.id, m.n, e.happened_at, coalesce(e.person, '')::text AS person, e.kind, (e.undoes IS NOT NULL)::boolean AS undo,
    coalesce(k.round, '')::text AS round, coalesce(k.service, '')::text AS service, coalesce(k.assembly, '')::text AS assembly,
    coalesce(k.rider, '')::text AS rider, l.code AS lot, f.code AS from_place, g.code AS to_place, m.quantity
FROM movement AS m
    JOIN entry AS e ON e.id = m.entry_id
    JOIN spend_entry AS k ON k.id = e.id
    JOIN lot AS l ON l.id = m.lot_id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before)
    AND (f.code IN ('used', 'scrap', 'count difference') OR g.code IN ('used', 'scrap', 'count difference'))
ORDER BY e.happened_at, k.seq, m.n;

-- name: SpendStretches :many
-- The instants that cut a season's records into stretches of so many.
SELECT x.happened_at::timestamptz AS first FROM (
        SELECT e.happened_at, row_number() OVER (ORDER BY e.happened_at) AS n FROM entry AS e
        WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before)
    ) AS x
WHERE (x.n - 1) % sqlc.arg(size)::integer = 0 AND x.n > 1
ORDER BY 1;

-- name: SpendEvents :many
-- A stretch of movements over the edge of our places, in the order of time; an end of ours
-- is blank. Of the days from since on they have the key of the view.
SELECT (CASE WHEN e.happened_at < sqlc.arg(since) THEN '' ELSE CASE sqlc.arg(view)::text
            WHEN 'round' THEN coalesce(e.round, '')
            WHEN 'service' THEN coalesce(e.service, '')
            WHEN 'assembly' THEN coalesce(e.assembly, '')
            WHEN 'rider' THEN coalesce(e.rider, '')
            WHEN 'month' THEN to_char(coalesce(
                (SELECT min(c.month) FROM closed_month AS c WHERE c.month >= date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text) AND e.seq <= c.last_entry),
                greatest(date_trunc('month', e.happened_at AT TIME ZONE sqlc.arg(zone)::text), sqlc.arg(open_month)::date)), 'YYYY-MM')
            ELSE '' END END)::text AS key,
    (e.happened_at >= sqlc.arg(since))::boolean AS asked, m.lot_id,
    (CASE WHEN f.kept THEN '' ELSE f.code END)::text AS from_outside, (CASE WHEN g.kept THEN '' ELSE g.code END)::text AS to_outside, m.quantity
FROM spend_entry AS e
    JOIN movement AS m ON m.entry_id = e.id
    JOIN place AS f ON f.id = m.from_id
    JOIN place AS g ON g.id = m.to_id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(first) AND e.happened_at < sqlc.arg(before) AND NOT (f.kept AND g.kept)
ORDER BY e.happened_at, e.seq, m.n;

-- name: SpendJobs :many
-- The jobs done by then and not taken back, by round, service and assembly.
SELECT coalesce(j.round, '')::text AS round, j.service, coalesce(j.assembly, '')::text AS assembly, count(*)::integer AS jobs
FROM job AS j JOIN entry AS e ON e.id = j.entry_id LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.happened_at >= sqlc.arg(since) AND e.happened_at < sqlc.arg(before) AND (u.id IS NULL OR u.happened_at >= sqlc.arg(before))
GROUP BY 1, 2, 3
ORDER BY 1, 2, 3;
