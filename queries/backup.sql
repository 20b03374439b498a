-- What a back-up holds, and what a restore takes away and puts back around it.

-- name: BackupTables :many
SELECT c.relname::text AS name, array_agg(a.attname::text ORDER BY a.attnum)::text[] AS columns
FROM pg_catalog.pg_class AS c
    JOIN pg_catalog.pg_namespace AS n ON n.oid = c.relnamespace
    JOIN pg_catalog.pg_attribute AS a ON a.attrelid = c.oid
WHERE n.nspname = 'public' AND c.relkind = 'r' AND c.relname NOT IN ('goose_db_version', 'functions_loaded', 'part_stock') -- the schema's own, and what no program reads any more
    AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = ''
GROUP BY c.relname
ORDER BY c.relname;

-- name: BackupSequences :many
SELECT s.sequencename::text AS name, s.last_value::bigint AS last
FROM pg_catalog.pg_sequences AS s
WHERE s.schemaname = 'public' AND s.sequencename NOT LIKE 'goose%' AND s.last_value IS NOT NULL
ORDER BY s.sequencename;

-- name: SequenceSet :exec
SELECT setval(pg_catalog.to_regclass(quote_ident(sqlc.arg(name)::text)), sqlc.arg(last)::bigint);

-- name: ForeignKeys :many
SELECT c.conname::text AS name, t.relname::text AS table_name, pg_catalog.pg_get_constraintdef(c.oid)::text AS definition
FROM pg_catalog.pg_constraint AS c
    JOIN pg_catalog.pg_class AS t ON t.oid = c.conrelid
    JOIN pg_catalog.pg_namespace AS n ON n.oid = t.relnamespace
WHERE n.nspname = 'public' AND c.contype = 'f' AND c.conparentid = 0
ORDER BY t.relname, c.conname;

-- name: VersionsRaise :exec
-- What a program remembers of the plan that stood here before must not pass
-- for what stands here now: versions are counted on from the clock, which no count reaches.
UPDATE plan_version SET version = (extract(epoch FROM clock_timestamp()) * 1000000)::bigint;

-- name: RestoreLeftovers :many
SELECT d.datname::text AS name
FROM pg_catalog.pg_database AS d
WHERE d.datname LIKE '%\_restoring\_%' AND d.datname ~ '_restoring_[0-9]{8}_[0-9]{6}_[0-9]{3}$'
    AND NOT EXISTS (SELECT FROM pg_catalog.pg_stat_activity AS a WHERE a.datname = d.datname)
ORDER BY d.datname;

-- name: RestoreLock :one
-- Held by whoever makes the database of this name, for as long as its connection lives.
SELECT pg_try_advisory_lock(5206031, hashtext(sqlc.arg(name)::text)) AS free;
