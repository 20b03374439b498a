-- name: ServiceLinePut :execrows
INSERT INTO service_line (service, part, own_part, quantity, min, typical, max, allowance_percent, dry_percent,
    wet_percent, beta_dry_a, beta_dry_b, beta_wet_a, beta_wet_b, stops_job, on_site, notes, pos)
SELECT r.service, nullif(r.part, ''), r.own_part, r.quantity, r.min, r.typical, r.max, r.allowance_percent,
    r.dry_percent, r.wet_percent, r.beta_dry_a, r.beta_dry_b, r.beta_wet_a, r.beta_wet_b, r.stops_job, r.on_site,
    r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (service text, part text, own_part text, quantity bigint, min
    bigint, typical bigint, max bigint, allowance_percent numeric, dry_percent numeric, wet_percent numeric,
    beta_dry_a numeric, beta_dry_b numeric, beta_wet_a numeric, beta_wet_b numeric, stops_job boolean, on_site
    boolean, notes text, pos integer);

-- name: ServiceLineList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT service, coalesce(part, '') AS part, own_part, quantity, min, typical, max, allowance_percent,
    dry_percent, wet_percent, beta_dry_a, beta_dry_b, beta_wet_a, beta_wet_b, stops_job, on_site, notes, pos FROM
    service_line) AS r;

-- name: ServiceLineClear :exec
DELETE FROM service_line;
