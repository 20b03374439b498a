-- name: OfferPut :execrows
INSERT INTO offer (supplier, part, preference, supplier_number, pack, price_per_pack, currency, minimum_packs,
    lead_days, lead_days_95, notes, pos)
SELECT r.supplier, r.part, r.preference, r.supplier_number, r.pack, r.price_per_pack, r.currency, r.minimum_packs,
    r.lead_days, r.lead_days_95, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (supplier text, part text, preference integer, supplier_number text,
    pack bigint, price_per_pack numeric, currency text, minimum_packs integer, lead_days integer, lead_days_95
    integer, notes text, pos integer);

-- name: OfferList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT supplier, part, preference, supplier_number, pack, price_per_pack, currency, minimum_packs, lead_days,
    lead_days_95, notes, pos FROM offer) AS r;

-- name: OfferClear :exec
DELETE FROM offer;
