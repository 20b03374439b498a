-- name: TopUpPut :execrows
INSERT INTO top_up (season_id, trip, on_day, round, from_place, how, limit_kg, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.trip, r.on_day, nullif(r.round, ''), nullif(r.from_place, ''), r.how,
    r.limit_kg, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (trip text, on_day date, round text, from_place text, how text,
    limit_kg numeric, notes text, pos integer);

-- name: TopUpList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT trip, on_day, coalesce(round, '') AS round, coalesce(from_place, '') AS from_place, how, limit_kg, notes,
    pos FROM top_up WHERE season_id = sqlc.arg(season_id)) AS r;

-- name: TopUpClear :exec
DELETE FROM top_up WHERE season_id = $1;
