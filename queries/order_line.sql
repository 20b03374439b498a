-- name: OrderLinePut :execrows
INSERT INTO order_line (season_id, order_code, part, packs, quantity, price_per_pack, free_packs, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.order_code, r.part, r.packs, r.quantity, r.price_per_pack, r.free_packs, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (order_code text, part text, packs integer, quantity bigint,
    price_per_pack numeric, free_packs integer, notes text, pos integer)
ON CONFLICT DO NOTHING;

-- name: OrderLineList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.order_code, r.part), '[]')::json AS rows
FROM (SELECT order_code, part, packs, quantity, price_per_pack, free_packs, notes, pos FROM order_line WHERE season_id =
    sqlc.arg(season_id)) AS r;
