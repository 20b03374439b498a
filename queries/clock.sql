-- name: ClockNow :one
-- The season clock: now, and how far it runs ahead of the computer's.
SELECT (statement_timestamp() + ahead_by)::timestamptz AS now, extract(epoch FROM ahead_by)::bigint AS ahead_seconds
FROM clock;

-- name: ClockSet :exec
-- Sets the season clock so that now is the instant given.
UPDATE clock SET ahead_by = sqlc.arg(now)::timestamptz - statement_timestamp();
