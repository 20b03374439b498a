-- name: ExchangeRatePut :execrows
INSERT INTO exchange_rate (currency, from_on, rate, notes, pos)
SELECT r.currency, r.from_on, r.rate, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (currency text, from_on date, rate numeric, notes text, pos integer)
ON CONFLICT (currency, from_on) DO UPDATE SET rate = excluded.rate, notes = excluded.notes, pos = excluded.pos;

-- name: ExchangeRateList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT currency, from_on, rate, notes, pos FROM exchange_rate) AS r;
