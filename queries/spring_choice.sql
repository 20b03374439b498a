-- name: SpringChoicePut :execrows
INSERT INTO spring_choice (rider, model, spring, steep_1, steep_2, steep_3, steep_4, steep_5, notes, pos)
SELECT r.rider, r.model, r.spring, r.steep_1, r.steep_2, r.steep_3, r.steep_4, r.steep_5, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (rider text, model text, spring text, steep_1 numeric, steep_2
    numeric, steep_3 numeric, steep_4 numeric, steep_5 numeric, notes text, pos integer);

-- name: SpringChoiceList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT rider, model, spring, steep_1, steep_2, steep_3, steep_4, steep_5, notes, pos FROM spring_choice) AS r;

-- name: SpringChoiceClear :exec
DELETE FROM spring_choice;
