-- name: BudgetPut :execrows
INSERT INTO budget (season_id, line, round, amount, currency, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.line, nullif(r.round, ''), r.amount, r.currency, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (line text, round text, amount numeric, currency text, notes text,
    pos integer);

-- name: BudgetList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT line, coalesce(round, '') AS round, amount, currency, notes, pos FROM budget WHERE season_id =
    sqlc.arg(season_id)) AS r;

-- name: BudgetClear :exec
DELETE FROM budget WHERE season_id = $1;
