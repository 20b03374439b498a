-- name: OrderPut :execrows
INSERT INTO orders (season_id, code, supplier, placed_on, due_on, ship_to, arrived_on, state, carriage, duty,
    entry_fee, currency, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, r.supplier, r.placed_on, r.due_on, nullif(r.ship_to, ''), r.arrived_on,
    r.state, r.carriage, r.duty, r.entry_fee, r.currency, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, supplier text, placed_on date, due_on date, ship_to
    text, arrived_on date, state text, carriage numeric, duty numeric, entry_fee numeric, currency text, notes text,
    pos integer)
ON CONFLICT (season_id, code) DO UPDATE SET supplier = excluded.supplier, placed_on = excluded.placed_on, due_on =
    excluded.due_on, ship_to = excluded.ship_to, arrived_on = excluded.arrived_on, state = excluded.state, carriage =
    excluded.carriage, duty = excluded.duty, entry_fee = excluded.entry_fee, currency = excluded.currency, notes =
    excluded.notes, pos = excluded.pos;

-- name: OrderList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, supplier, placed_on, due_on, coalesce(ship_to, '') AS ship_to, arrived_on, state, carriage, duty,
    entry_fee, currency, notes, pos FROM orders WHERE season_id = sqlc.arg(season_id)) AS r;
