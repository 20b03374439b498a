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
    notes, pos, seq FROM charge WHERE season_id = sqlc.arg(season_id)) AS r;

-- name: ChargeAdd :execrows
-- Adds one charge behind those of the workbook.
INSERT INTO charge (season_id, code, on_day, line, round, supplier, amount, currency, notes, pos)
VALUES (sqlc.arg(season_id), sqlc.arg(code), sqlc.arg(on_day), sqlc.arg(line), nullif(sqlc.arg(round)::text, ''), nullif(sqlc.arg(supplier)::text, ''),
    sqlc.arg(amount), sqlc.arg(currency), sqlc.arg(notes), (1 << 30))
ON CONFLICT DO NOTHING;

-- name: LotCostAdd :execrows
-- Adds cost rows to lots: shares of a charge, an invoice that came later.
INSERT INTO lot_cost (lot_id, kind, amount, currency, source, known_on)
SELECT l.id, r.kind, r.amount, r.currency, r.source, r.known_on
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (lot text, kind text, amount numeric, currency text, source text, known_on date)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id)::integer AND l.code = r.lot
ORDER BY l.id;

-- name: LotCostSource :one
-- Whether a source has brought costs before.
SELECT EXISTS (SELECT FROM lot_cost AS c JOIN lot AS l ON l.id = c.lot_id WHERE l.season_id = sqlc.arg(season_id) AND c.source = sqlc.arg(source));

-- name: ChargeTwins :many
-- Standing charges that say the same as this one: of its line, day, amount and round.
SELECT b.code
FROM charge AS a JOIN charge AS b ON b.season_id = a.season_id AND b.code <> a.code AND b.on_day = a.on_day AND b.line = a.line
    AND b.amount = a.amount AND b.currency = a.currency AND b.round IS NOT DISTINCT FROM a.round AND b.supplier IS NOT DISTINCT FROM a.supplier
WHERE a.season_id = sqlc.arg(season_id) AND a.code = sqlc.arg(code)
ORDER BY b.seq DESC;

-- name: LotCostTwins :many
-- Other charges that were spread as this one was: as much on the same lots, on the same day.
WITH said AS (
    SELECT c.source, c.source = sqlc.arg(source)::text AS is_mine, string_agg(concat_ws(' ', c.lot_id, c.kind, c.amount, c.currency, c.known_on), ';' ORDER BY c.lot_id, c.id) AS what
    FROM lot_cost AS c JOIN lot AS l ON l.id = c.lot_id
    WHERE l.season_id = sqlc.arg(season_id) AND c.source LIKE 'charge %'
    GROUP BY c.source
)
SELECT b.source
FROM said AS a JOIN said AS b ON b.what = a.what AND a.is_mine AND NOT b.is_mine
ORDER BY b.source DESC;

-- name: ChargeAgain :execrows
-- Adds a standing charge once more, with its own sign (1) or the other (-1).
INSERT INTO charge (season_id, code, on_day, line, round, supplier, amount, currency, notes, pos)
SELECT c.season_id, sqlc.arg(code), c.on_day, c.line, c.round, c.supplier, c.amount * sqlc.arg(sign)::integer, c.currency, sqlc.arg(notes), (1 << 30)
FROM charge AS c
WHERE c.season_id = sqlc.arg(season_id) AND c.code = sqlc.arg(as_code);

-- name: LotCostAgain :execrows
-- Adds what a charge put on lots once more, with its own sign (1) or the other (-1).
INSERT INTO lot_cost (lot_id, kind, amount, currency, source, known_on)
SELECT c.lot_id, c.kind, c.amount * sqlc.arg(sign)::integer, c.currency, sqlc.arg(source), c.known_on
FROM lot_cost AS c JOIN lot AS l ON l.id = c.lot_id
WHERE l.season_id = sqlc.arg(season_id) AND c.source = sqlc.arg(as_source)
ORDER BY c.id;
