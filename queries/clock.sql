-- name: ClockNow :one
-- The season clock: now, and how far it runs ahead of the computer's.
SELECT (statement_timestamp() + ahead_by)::timestamptz AS now, (extract(epoch FROM ahead_by) * 1000000)::bigint AS ahead_microseconds
FROM clock;

-- name: ClockSet :exec
-- Sets the season clock so that now is the instant given.
UPDATE clock SET ahead_by = sqlc.arg(now)::timestamptz - statement_timestamp();
