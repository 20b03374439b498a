-- name: PlannedJobsPut :execrows
INSERT INTO planned_jobs (season_id, round, service, assembly, jobs, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.round, r.service, nullif(r.assembly, ''), r.jobs, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (round text, service text, assembly text, jobs integer, notes text,
    pos integer);

-- name: PlannedJobsList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT round, service, coalesce(assembly, '') AS assembly, jobs, notes, pos FROM planned_jobs WHERE season_id =
    sqlc.arg(season_id)) AS r;

-- name: PlannedJobsClear :exec
DELETE FROM planned_jobs WHERE season_id = $1;
