-- name: RoundPut :execrows
INSERT INTO round (season_id, code, name, kind, trip, first_on, last_on, country, currency, steepness,
    wet_chance_percent, bikes, riding_days, rough_factor, weather, weather_seen_on, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, r.name, r.kind, nullif(r.trip, ''), r.first_on, r.last_on, r.country,
    r.currency, r.steepness, r.wet_chance_percent, r.bikes, r.riding_days, r.rough_factor, r.weather,
    r.weather_seen_on, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, kind text, trip text, first_on date, last_on
    date, country text, currency text, steepness integer, wet_chance_percent numeric, bikes integer, riding_days
    integer, rough_factor numeric, weather text, weather_seen_on date, notes text, pos integer)
ON CONFLICT (season_id, code) DO UPDATE SET name = excluded.name, kind = excluded.kind, trip = excluded.trip, first_on
    = excluded.first_on, last_on = excluded.last_on, country = excluded.country, currency = excluded.currency,
    steepness = excluded.steepness, wet_chance_percent = excluded.wet_chance_percent, bikes = excluded.bikes,
    riding_days = excluded.riding_days, rough_factor = excluded.rough_factor, weather = excluded.weather,
    weather_seen_on = excluded.weather_seen_on, notes = excluded.notes, pos = excluded.pos;

-- name: RoundList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, kind, coalesce(trip, '') AS trip, first_on, last_on, country, currency, steepness,
    wet_chance_percent, bikes, riding_days, rough_factor, weather, weather_seen_on, notes, pos FROM round WHERE
    season_id = sqlc.arg(season_id)) AS r;

-- name: RoundKeep :exec
-- Removes what the sheet no longer names.
DELETE FROM round WHERE season_id = sqlc.arg(season_id) AND NOT code = ANY (sqlc.arg(codes)::text[]);
