-- name: LineNumbersSet :execrows
-- Puts other numbers into the line that still says what it is expected to say.
UPDATE service_line SET quantity = n.quantity, min = n.min, typical = n.typical, max = n.max, dry_percent = n.dry_percent, wet_percent = n.wet_percent,
    beta_dry_a = n.beta_dry_a, beta_dry_b = n.beta_dry_b, beta_wet_a = n.beta_wet_a, beta_wet_b = n.beta_wet_b
FROM json_to_record(sqlc.arg(now)::json) AS n (quantity bigint, min bigint, typical bigint, max bigint, dry_percent numeric, wet_percent numeric,
    beta_dry_a numeric, beta_dry_b numeric, beta_wet_a numeric, beta_wet_b numeric)
WHERE pos = (SELECT min(l.pos) FROM service_line AS l, json_to_record(sqlc.arg(was)::json) AS w (quantity bigint, min bigint, typical bigint, max bigint,
        dry_percent numeric, wet_percent numeric, beta_dry_a numeric, beta_dry_b numeric, beta_wet_a numeric, beta_wet_b numeric)
    WHERE l.service = sqlc.arg(service)::text AND l.part = sqlc.arg(part)::text
        AND (l.quantity, l.min, l.typical, l.max, l.dry_percent, l.wet_percent, l.beta_dry_a, l.beta_dry_b, l.beta_wet_a, l.beta_wet_b)
            IS NOT DISTINCT FROM (w.quantity, w.min, w.typical, w.max, w.dry_percent, w.wet_percent, w.beta_dry_a, w.beta_dry_b, w.beta_wet_a, w.beta_wet_b));

-- name: RateNumbersSet :execrows
-- The same of how often an unplanned service happens.
UPDATE unplanned_rate AS u SET rate = n.rate, gamma_a = n.gamma_a, gamma_b = n.gamma_b
FROM json_to_record(sqlc.arg(now)::json) AS n (rate numeric, gamma_a numeric, gamma_b numeric),
    json_to_record(sqlc.arg(was)::json) AS w (rate numeric, gamma_a numeric, gamma_b numeric)
WHERE u.service = sqlc.arg(service)::text AND (u.rate, u.gamma_a, u.gamma_b) IS NOT DISTINCT FROM (w.rate, w.gamma_a, w.gamma_b);
