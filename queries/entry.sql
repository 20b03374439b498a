-- name: RecordBegin :one
-- Claims the entry's id, locks the parts, returns what the choice of stock needs.
SELECT record_begin(sqlc.arg(season_id)::integer, sqlc.arg(id)::uuid, sqlc.arg(kind)::text, sqlc.arg(person)::text,
    sqlc.arg(happened_at)::timestamptz, sqlc.arg(request_hash)::bytea, sqlc.narg(undoes)::uuid, sqlc.arg(reference)::text,
    sqlc.narg(due_back_on)::date, sqlc.arg(notes)::text, sqlc.arg(parts)::text[])::json AS facts;

-- name: RecordWrite :exec
-- Stores what the ledger made of records, all or nothing.
SELECT record_write(sqlc.arg(season_id)::integer, sqlc.arg(rows)::json);

-- name: PlanVersion :one
SELECT version FROM plan_version;

-- name: PlanChanged :exec
-- To be called by whatever changes the catalogue or the plan.
UPDATE plan_version SET version = version + 1;
