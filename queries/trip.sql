-- name: TripPut :execrows
INSERT INTO trip (season_id, code, name, goes_by, truck, pack_by, leaves_on, back_on, customs_list_by, customs,
    limit_kg, limit_l, limit_spend, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, r.name, r.goes_by, nullif(r.truck, ''), r.pack_by, r.leaves_on,
    r.back_on, r.customs_list_by, r.customs, r.limit_kg, r.limit_l, r.limit_spend, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, goes_by text, truck text, pack_by date,
    leaves_on date, back_on date, customs_list_by date, customs boolean, limit_kg numeric, limit_l numeric, limit_spend numeric, notes
    text, pos integer)
ON CONFLICT (season_id, code) DO UPDATE SET name = excluded.name, goes_by = excluded.goes_by, truck = excluded.truck,
    pack_by = excluded.pack_by, leaves_on = excluded.leaves_on, back_on = excluded.back_on, customs_list_by =
    excluded.customs_list_by, customs = excluded.customs, limit_kg = excluded.limit_kg, limit_l = excluded.limit_l, limit_spend =
    excluded.limit_spend, notes = excluded.notes, pos = excluded.pos;

-- name: TripList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, goes_by, coalesce(truck, '') AS truck, pack_by, leaves_on, back_on, customs_list_by,
    customs, limit_kg, limit_l, limit_spend, notes, pos FROM trip WHERE season_id = sqlc.arg(season_id)) AS r;

-- name: TripKeep :exec
-- Removes what the sheet no longer names.
DELETE FROM trip WHERE season_id = sqlc.arg(season_id) AND NOT code = ANY (sqlc.arg(codes)::text[]);
