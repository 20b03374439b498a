-- name: PriceBreakPut :execrows
INSERT INTO price_break (supplier, part, from_packs, price_per_pack, applies_to, notes, pos)
SELECT r.supplier, r.part, r.from_packs, r.price_per_pack, r.applies_to, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (supplier text, part text, from_packs integer, price_per_pack
    numeric, applies_to text, notes text, pos integer);

-- name: PriceBreakList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT supplier, part, from_packs, price_per_pack, applies_to, notes, pos FROM price_break) AS r;

-- name: PriceBreakClear :exec
DELETE FROM price_break;
