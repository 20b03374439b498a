-- name: ServerMajor :one
SELECT current_setting('server_version_num')::integer / 10000 AS major;

-- name: DatabaseName :one
SELECT current_database()::text AS name;

-- name: SeasonCount :one
SELECT count(*) FROM season;

-- name: TableCount :one
SELECT count(*) FROM pg_catalog.pg_tables WHERE schemaname = 'public';
