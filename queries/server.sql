-- name: ServerMajor :one
SELECT current_setting('server_version_num')::integer / 10000 AS major;

-- name: DatabaseName :one
SELECT current_database()::text AS name;

-- name: SeasonCount :one
SELECT count(*) FROM season;

-- name: TableCount :one
SELECT count(*) FROM pg_catalog.pg_tables WHERE schemaname = 'public';

-- name: FunctionsLoaded :one
-- Which functions the database holds.
SELECT revision, sha256 FROM functions_loaded;

-- name: FunctionsLock :one
-- The same, and whoever else wants to load some waits.
SELECT revision, sha256 FROM functions_loaded FOR UPDATE;

-- name: FunctionsSay :exec
UPDATE functions_loaded SET revision = sqlc.arg(revision), sha256 = sqlc.arg(sha256);
