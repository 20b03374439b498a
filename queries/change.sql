-- name: RoundWeather :execrows
-- What the weather was, and the day it was seen on.
UPDATE round SET weather = sqlc.arg(weather), weather_seen_on = sqlc.arg(seen_on)::date
WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(round);

-- name: PlannedJobsFor :one
-- How many jobs a round plans of a service and assembly; 0 rows are 0 jobs.
SELECT coalesce(sum(jobs), 0)::integer AS jobs FROM planned_jobs
WHERE season_id = sqlc.arg(season_id) AND round = sqlc.arg(round) AND service = sqlc.arg(service)
    AND assembly IS NOT DISTINCT FROM nullif(sqlc.arg(assembly)::text, '');

-- name: PlannedJobsSet :exec
INSERT INTO planned_jobs (season_id, round, service, assembly, jobs, pos)
SELECT sqlc.arg(season_id), sqlc.arg(round), sqlc.arg(service), nullif(sqlc.arg(assembly)::text, ''),
    sqlc.arg(jobs)::integer, coalesce(max(pos) + 1, 0) FROM planned_jobs WHERE season_id = sqlc.arg(season_id)
ON CONFLICT (season_id, round, service, assembly) DO UPDATE SET jobs = excluded.jobs;
