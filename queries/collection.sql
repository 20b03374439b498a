-- name: CollectionPut :execrows
INSERT INTO collection (season_id, supplier, round, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.supplier, r.round, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (supplier text, round text, notes text, pos integer);

-- name: CollectionList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT supplier, round, notes, pos FROM collection WHERE season_id = sqlc.arg(season_id)) AS r;

-- name: CollectionClear :exec
DELETE FROM collection WHERE season_id = $1;
