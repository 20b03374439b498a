-- name: ModelPut :execrows
INSERT INTO model (code, name, kind, notes, pos)
SELECT r.code, r.name, r.kind, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, kind text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, kind = excluded.kind, notes = excluded.notes, pos =
    excluded.pos;

-- name: ModelList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, kind, notes, pos FROM model) AS r;
