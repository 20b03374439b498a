-- name: LotPut :execrows
-- Adds lots; of a known one only what may be filled in later.
INSERT INTO lot (season_id, code, part_id, supplier, order_code, from_lot, received_on, expires_on, quantity, currency,
    list_value, allocation, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, p.id, nullif(r.supplier, ''), nullif(r.order_code, ''),
    nullif(r.from_lot, ''), r.received_on, r.expires_on, r.quantity, r.currency, r.list_value, r.allocation, r.notes,
    r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, part text, supplier text, order_code text, from_lot text,
        received_on date, expires_on date, quantity bigint, currency text, list_value numeric, allocation boolean,
        notes text, pos integer)
    JOIN part AS p ON p.code = r.part
ON CONFLICT (season_id, code) DO UPDATE SET currency = excluded.currency, list_value = excluded.list_value,
    notes = excluded.notes, pos = excluded.pos;

-- name: LotList :one
-- The cost is that of all rows, in the lot's own currency: what is in another (freight,
-- duty) at the rate of the day the lot came in; most lots have none, and are summed together.
SELECT coalesce(json_agg(r ORDER BY r.pos, r.code), '[]')::json AS rows
FROM (
    SELECT l.code, p.code AS part, coalesce(l.supplier, '') AS supplier, coalesce(l.order_code, '') AS order_code,
        coalesce(l.from_lot, '') AS from_lot, l.received_on, l.expires_on, l.quantity,
        CASE WHEN k.own THEN k.amount ELSE (SELECT CASE WHEN bool_or(home_rate(c.currency, b.currency, l.received_on) IS NULL) THEN NULL -- not valued
                ELSE trim_scale(round(sum(c.amount * home_rate(c.currency, b.currency, l.received_on)) / home_rate(l.currency, b.currency, l.received_on), 12)) END
            FROM lot_cost AS c WHERE c.lot_id = l.id) END AS cost,
        k.first AS first_cost,
        l.currency, l.list_value, l.allocation, l.notes, l.pos
    FROM lot AS l JOIN part AS p ON p.id = l.part_id JOIN season AS b ON b.id = l.season_id
        LEFT JOIN (
            SELECT c.lot_id, bool_and(c.currency = x.currency) AS own, sum(c.amount) AS amount,
                (array_agg(c.amount ORDER BY c.id) FILTER (WHERE c.currency = x.currency))[1] AS first
            FROM lot_cost AS c JOIN lot AS x ON x.id = c.lot_id WHERE x.season_id = sqlc.arg(season_id) GROUP BY c.lot_id
        ) AS k ON k.lot_id = l.id
    WHERE l.season_id = sqlc.arg(season_id)
) AS r;

-- name: LotCostPut :exec
-- The first cost of a lot; corrections come as rows of their own.
INSERT INTO lot_cost (lot_id, kind, amount, currency, source, known_on)
SELECT l.id, 'landed', r.cost, r.currency, 'workbook', coalesce(r.received_on, sqlc.arg(today)::date)
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, cost numeric, currency text, received_on date)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = r.code
WHERE r.cost IS NOT NULL AND NOT EXISTS (SELECT FROM lot_cost AS c WHERE c.lot_id = l.id);

-- name: TagPut :execrows
-- Adds tags; of a known one only what may be filled in later.
INSERT INTO tag (season_id, code, lot_id, part_id, tare_mg, contents, opened_on, measured_rate, serial_number, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, l.id, l.part_id, r.tare_mg, r.contents, r.opened_on, r.measured_rate,
    r.serial_number, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, lot text, tare_mg bigint, contents bigint, opened_on date,
        measured_rate numeric, serial_number text, notes text, pos integer)
    JOIN lot AS l ON l.season_id = sqlc.arg(season_id) AND l.code = r.lot
ON CONFLICT (season_id, code) DO UPDATE SET tare_mg = excluded.tare_mg, opened_on = excluded.opened_on,
    measured_rate = excluded.measured_rate, serial_number = excluded.serial_number, notes = excluded.notes,
    pos = excluded.pos;

-- name: TagList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.code), '[]')::json AS rows
FROM (
    SELECT t.code, l.code AS lot, p.code AS part, t.tare_mg, t.contents, t.opened_on, t.measured_rate,
        t.serial_number, t.notes, t.pos
    FROM tag AS t JOIN lot AS l ON l.id = t.lot_id JOIN part AS p ON p.id = t.part_id
    WHERE t.season_id = sqlc.arg(season_id)
) AS r;
