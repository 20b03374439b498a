-- name: SpringPut :execrows
INSERT INTO spring (part, model, rate, rate_unit, breaks_per_day, notes, pos)
SELECT r.part, r.model, r.rate, r.rate_unit, r.breaks_per_day, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (part text, model text, rate numeric, rate_unit text, breaks_per_day
    numeric, notes text, pos integer)
ON CONFLICT (part) DO UPDATE SET model = excluded.model, rate = excluded.rate, rate_unit = excluded.rate_unit,
    breaks_per_day = excluded.breaks_per_day, notes = excluded.notes, pos = excluded.pos;

-- name: SpringList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT part, model, rate, rate_unit, breaks_per_day, notes, pos FROM spring) AS r;
