-- name: UnplannedRatePut :execrows
INSERT INTO unplanned_rate (service, rate, gamma_a, gamma_b, wet_factor, notes, pos)
SELECT r.service, r.rate, r.gamma_a, r.gamma_b, r.wet_factor, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (service text, rate numeric, gamma_a numeric, gamma_b numeric,
    wet_factor numeric, notes text, pos integer);

-- name: UnplannedRateList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT service, rate, gamma_a, gamma_b, wet_factor, notes, pos FROM unplanned_rate) AS r;

-- name: UnplannedRateClear :exec
DELETE FROM unplanned_rate;
