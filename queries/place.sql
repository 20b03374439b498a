-- name: PlacePut :execrows
INSERT INTO place (code, name, parent, kind, notes, pos)
SELECT r.code, r.name, nullif(r.parent, ''), r.kind, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, parent text, kind text, notes text, pos
    integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, parent = excluded.parent, kind = excluded.kind, notes =
    excluded.notes, pos = excluded.pos;

-- name: PlaceList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, coalesce(parent, '') AS parent, kind, notes, pos FROM place WHERE pos IS NOT NULL AND kind <>
    'assembly') AS r;
