-- name: PersonPut :execrows
INSERT INTO person (code, name, role, notes, pos)
SELECT r.code, r.name, r.role, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, role text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, role = excluded.role, notes = excluded.notes, pos =
    excluded.pos;

-- name: PersonList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, role, notes, pos FROM person) AS r;
