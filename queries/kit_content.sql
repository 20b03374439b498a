-- name: KitContentPut :execrows
INSERT INTO kit_content (kit, part, quantity, notes, pos)
SELECT r.kit, r.part, r.quantity, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (kit text, part text, quantity bigint, notes text, pos integer)
ON CONFLICT (kit, part) DO UPDATE SET quantity = excluded.quantity, notes = excluded.notes, pos = excluded.pos;

-- name: KitContentList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT kit, part, quantity, notes, pos FROM kit_content) AS r;
