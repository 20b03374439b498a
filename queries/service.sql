-- name: ServicePut :execrows
INSERT INTO service (code, name, model_kind, minutes, planned, caution, notes, pos)
SELECT r.code, r.name, r.model_kind, r.minutes, r.planned, r.caution, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, model_kind text, minutes integer, planned
    boolean, caution text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, model_kind = excluded.model_kind, minutes = excluded.minutes,
    planned = excluded.planned, caution = excluded.caution, notes = excluded.notes, pos = excluded.pos;

-- name: ServiceList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, model_kind, minutes, planned, caution, notes, pos FROM service) AS r;
