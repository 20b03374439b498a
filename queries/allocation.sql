-- name: AllocationPut :execrows
INSERT INTO allocation (supplier, part, free_quantity, beyond_percent, first_on, last_on, notes, pos)
SELECT r.supplier, r.part, r.free_quantity, r.beyond_percent, r.first_on, r.last_on, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (supplier text, part text, free_quantity bigint, beyond_percent
    numeric, first_on date, last_on date, notes text, pos integer);

-- name: AllocationList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT supplier, part, free_quantity, beyond_percent, first_on, last_on, notes, pos FROM allocation) AS r;

-- name: AllocationClear :exec
DELETE FROM allocation;
