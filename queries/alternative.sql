-- name: AlternativePut :execrows
INSERT INTO alternative (part, alternative, preference, notes, pos)
SELECT r.part, r.alternative, r.preference, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (part text, alternative text, preference integer, notes text, pos
    integer)
ON CONFLICT (part, alternative) DO UPDATE SET preference = excluded.preference, notes = excluded.notes, pos =
    excluded.pos;

-- name: AlternativeList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT part, alternative, preference, notes, pos FROM alternative) AS r;
