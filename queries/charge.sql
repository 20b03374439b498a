-- name: ChargePut :execrows
INSERT INTO charge (season_id, code, on_day, line, round, supplier, amount, currency, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, r.on_day, r.line, nullif(r.round, ''), nullif(r.supplier, ''), r.amount,
    r.currency, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, on_day date, line text, round text, supplier text,
    amount numeric, currency text, notes text, pos integer)
ON CONFLICT DO NOTHING;

-- name: ChargeList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, on_day, line, coalesce(round, '') AS round, coalesce(supplier, '') AS supplier, amount, currency,
    notes, pos FROM charge WHERE season_id = sqlc.arg(season_id)) AS r;
