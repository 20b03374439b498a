-- name: ClosedMonthList :many
SELECT month, last_entry, last_cost, last_charge, closed_at, coalesce(person, '')::text AS person FROM closed_month ORDER BY month;

-- name: ClosedTotalList :many
SELECT month, key, figure, num, den FROM closed_total
WHERE season_id = sqlc.arg(season_id) AND view = sqlc.arg(view)::text
ORDER BY month, key, figure;

-- name: ClosedPriceList :many
SELECT l.code AS lot, c.cost_num, c.cost_den, c.list_num, c.list_den
FROM closed_price AS c JOIN lot AS l ON l.id = c.lot_id
WHERE l.season_id = sqlc.arg(season_id) AND c.month = sqlc.arg(month);

-- name: CloseLock :exec
-- Whoever records waits: it holds the locks of its parts until it is done.
LOCK TABLE part, charge, lot_cost IN EXCLUSIVE MODE;

-- name: CloseMonth :exec
INSERT INTO closed_month (month, closed_at, person, last_entry, last_cost, last_charge)
SELECT sqlc.arg(month), sqlc.arg(closed_at), nullif(sqlc.arg(person)::text, ''), (SELECT coalesce(max(seq), 0) FROM entry_seq),
    (SELECT coalesce(max(id), 0) FROM lot_cost), (SELECT coalesce(max(seq), 0) FROM charge);

-- name: ClosedTotalPut :exec
INSERT INTO closed_total (season_id, month, view, key, figure, num, den)
SELECT sqlc.arg(season_id)::integer, sqlc.arg(month)::date, r.view, r.key, r.figure, r.num, r.den
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (view text, key text, figure text, num numeric, den numeric);

-- name: ClosedPricePut :exec
INSERT INTO closed_price (month, lot_id, cost_num, cost_den, list_num, list_den)
SELECT sqlc.arg(month)::date, l.id, r.cost_num, r.cost_den, r.list_num, r.list_den
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (lot text, cost_num numeric, cost_den numeric, list_num numeric, list_den numeric)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id)::integer AND l.code = r.lot;

-- name: FirstOpenEntry :many
-- When the first thing happened that no closed month holds, late records left out.
SELECT happened_at FROM entry WHERE happened_at >= sqlc.arg(closed_end) ORDER BY happened_at LIMIT 1;

-- name: LateAnywhere :one
-- Whether something came after the last closing that happened before it.
SELECT EXISTS (SELECT FROM entry_seq AS s JOIN entry AS e ON e.id = s.entry_id
    WHERE s.seq > sqlc.arg(last_entry)::bigint AND e.happened_at < sqlc.arg(closed_end));
