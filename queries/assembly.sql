-- name: AssemblyPut :execrows
INSERT INTO assembly (code, model, rider, on_bike, damper_oil, hours, goes_by_air, notes, pos)
SELECT r.code, r.model, nullif(r.rider, ''), nullif(r.on_bike, ''), nullif(r.damper_oil, ''), r.hours, r.goes_by_air,
    r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, model text, rider text, on_bike text, damper_oil text,
    hours numeric, goes_by_air boolean, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET model = excluded.model, rider = excluded.rider, on_bike = excluded.on_bike,
    damper_oil = excluded.damper_oil, hours = excluded.hours, goes_by_air = excluded.goes_by_air, notes =
    excluded.notes, pos = excluded.pos;

-- name: AssemblyList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, model, coalesce(rider, '') AS rider, coalesce(on_bike, '') AS on_bike, coalesce(damper_oil, '') AS
    damper_oil, hours, goes_by_air, notes, pos FROM assembly) AS r;

-- name: AssemblyPlacePut :exec
-- An assembly is a place too: its spring is there.
INSERT INTO place (code, name, kind)
SELECT r.code, '', 'assembly' FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text)
ON CONFLICT (code) DO NOTHING;
