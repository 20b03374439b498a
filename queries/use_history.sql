-- name: UseHistoryAdd :execrows
-- Adds periods; one that is known stays as it is.
INSERT INTO use_history (part, period, quantity)
SELECT r.part, r.period, r.quantity
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (part text, period text, quantity bigint)
ON CONFLICT DO NOTHING;

-- name: UseHistoryLock :exec
-- Who adds to the history waits for who is adding.
LOCK TABLE use_history IN SHARE ROW EXCLUSIVE MODE;

-- name: UseHistoryOtherwise :many
-- Periods that are known with another quantity than these rows say.
SELECT h.part, h.period, h.quantity
FROM json_to_recordset(sqlc.arg(rows_json)::json) AS r (part text, period text, quantity bigint)
    JOIN use_history AS h ON h.part = r.part AND h.period = r.period
WHERE h.quantity <> r.quantity
ORDER BY h.part, h.period;

-- name: UseHistoryList :many
SELECT part, period, quantity FROM use_history ORDER BY part, period;
