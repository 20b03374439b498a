-- name: SeasonPut :one
INSERT INTO season (code, name, team, base, country, time_zone, currency, first_on, last_on, confidence_percent,
    handling_days, home_tax_percent, spring_tolerance_percent, trip_readiness_percent,
    chances_worth, last_season_percent, address, contact, email, tax_number, notes)
SELECT r.code, r.name, r.team, r.base, r.country, r.time_zone, r.currency, r.first_on, r.last_on,
    r.confidence_percent, r.handling_days, r.home_tax_percent, r.spring_tolerance_percent, r.trip_readiness_percent,
    coalesce(r.chances_worth, ''), r.last_season_percent,
    coalesce(r.address, ''), coalesce(r.contact, ''), coalesce(r.email, ''), coalesce(r.tax_number, ''), r.notes
FROM json_to_record(sqlc.arg(row_json)::json) AS r (code text, name text, team text, base text, country text,
    time_zone text, currency text, first_on date, last_on date, confidence_percent numeric, handling_days integer,
    home_tax_percent numeric, spring_tolerance_percent numeric, trip_readiness_percent numeric,
    chances_worth text, last_season_percent numeric, address text, contact text, email text,
    tax_number text, notes text)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, team = excluded.team, base = excluded.base,
    country = excluded.country, time_zone = excluded.time_zone, currency = excluded.currency,
    first_on = excluded.first_on, last_on = excluded.last_on, confidence_percent = excluded.confidence_percent,
    handling_days = excluded.handling_days, home_tax_percent = excluded.home_tax_percent,
    spring_tolerance_percent = excluded.spring_tolerance_percent,
    trip_readiness_percent = excluded.trip_readiness_percent,
    chances_worth = excluded.chances_worth, last_season_percent = excluded.last_season_percent,
    address = excluded.address, contact = excluded.contact, email = excluded.email,
    tax_number = excluded.tax_number, notes = excluded.notes
RETURNING id;

-- name: SeasonList :one
SELECT coalesce(json_agg(r ORDER BY r.first_on, r.code), '[]')::json AS rows
FROM (SELECT id, code, name, team, base, country, time_zone, currency, first_on, last_on, confidence_percent,
    handling_days, home_tax_percent, spring_tolerance_percent, trip_readiness_percent,
    chances_worth, last_season_percent, address, contact, email, tax_number, notes FROM season) AS r;
