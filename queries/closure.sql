-- name: ClosurePut :execrows
INSERT INTO closure (supplier, first_on, last_on, notes, pos)
SELECT r.supplier, r.first_on, r.last_on, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (supplier text, first_on date, last_on date, notes text, pos
    integer);

-- name: ClosureList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT supplier, first_on, last_on, notes, pos FROM closure) AS r;

-- name: ClosureClear :exec
DELETE FROM closure;
