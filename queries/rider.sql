-- name: RiderPut :execrows
INSERT INTO rider (code, name, kitted_mass_kg, notes, pos)
SELECT r.code, r.name, r.kitted_mass_kg, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, kitted_mass_kg numeric, notes text, pos
    integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, kitted_mass_kg = excluded.kitted_mass_kg, notes =
    excluded.notes, pos = excluded.pos;

-- name: RiderList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, kitted_mass_kg, notes, pos FROM rider) AS r;
