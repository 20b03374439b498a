-- name: CasePut :execrows
INSERT INTO travel_case (code, limit_kg, tare_kg, fixed_kg, volume_l, goes_by, keep_apart, notes, pos)
SELECT r.code, r.limit_kg, r.tare_kg, r.fixed_kg, r.volume_l, r.goes_by, r.keep_apart, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, limit_kg numeric, tare_kg numeric, fixed_kg numeric,
    volume_l numeric, goes_by text, keep_apart text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET limit_kg = excluded.limit_kg, tare_kg = excluded.tare_kg, fixed_kg =
    excluded.fixed_kg, volume_l = excluded.volume_l, goes_by = excluded.goes_by, keep_apart = excluded.keep_apart,
    notes = excluded.notes, pos = excluded.pos;

-- name: CaseList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, limit_kg, tare_kg, fixed_kg, volume_l, goes_by, keep_apart, notes, pos FROM travel_case) AS r;
