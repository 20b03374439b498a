-- name: OrderPut :execrows
INSERT INTO orders (season_id, code, supplier, placed_on, due_on, ship_to, arrived_on, state, carriage, duty,
    entry_fee, currency, notes, pos)
SELECT sqlc.arg(season_id)::integer, r.code, r.supplier, r.placed_on, r.due_on, nullif(r.ship_to, ''), r.arrived_on,
    r.state, r.carriage, r.duty, r.entry_fee, r.currency, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, supplier text, placed_on date, due_on date, ship_to
    text, arrived_on date, state text, carriage numeric, duty numeric, entry_fee numeric, currency text, notes text,
    pos integer)
ON CONFLICT (season_id, code) DO UPDATE SET supplier = excluded.supplier, placed_on = excluded.placed_on, due_on =
    excluded.due_on, ship_to = excluded.ship_to, arrived_on = excluded.arrived_on, state = excluded.state, carriage =
    excluded.carriage, duty = excluded.duty, entry_fee = excluded.entry_fee, currency = excluded.currency, notes =
    excluded.notes, pos = excluded.pos;

-- name: OrderList :one
SELECT coalesce(json_agg(r ORDER BY r.pos, r.code), '[]')::json AS rows
FROM (SELECT code, supplier, placed_on, due_on, coalesce(ship_to, '') AS ship_to, arrived_on, state, carriage, duty,
    entry_fee, currency, notes, pos FROM orders WHERE season_id = sqlc.arg(season_id)) AS r;

-- name: OrderLock :exec
-- Whoever changes the orders of a season waits for whoever is at it; a number is given once.
SELECT id FROM season WHERE id = sqlc.arg(season_id) FOR NO KEY UPDATE;

-- name: OrderStep :execrows
-- Takes an order on, from the state in which it was read.
UPDATE orders SET state = sqlc.arg(state), placed_on = sqlc.narg(placed_on)::date, due_on = sqlc.narg(due_on)::date,
    notes = sqlc.arg(notes)
WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(code) AND state = sqlc.arg(was);

-- name: OrderNow :one
-- The state an order is in, and how many lots ever came on it, those taken back too.
SELECT o.state, (SELECT count(*)::integer FROM lot AS l WHERE l.season_id = o.season_id AND l.order_code = o.code) AS lots
FROM orders AS o WHERE o.season_id = sqlc.arg(season_id) AND o.code = sqlc.arg(code)::text;

-- name: OrderReceived :exec
-- Brings the orders whose lots an entry moved to or from the supplier, or the one named, in
-- line with what is here: all of every line, some, or nothing (a receipt taken back: it is
-- what it was before anything came). An order that was called off stays so.
UPDATE orders AS o
SET state = CASE WHEN o.state = 'called off' THEN o.state WHEN x.open = 0 THEN 'here' WHEN x.here > 0 THEN 'part here'
        WHEN o.state IN ('here', 'part here') THEN coalesce(nullif(o.before_goods, ''), 'placed') ELSE o.state END,
    before_goods = CASE WHEN o.state IN ('here', 'part here', 'called off', '') THEN o.before_goods ELSE o.state END,
    arrived_on = CASE WHEN x.open = 0 THEN sqlc.arg(arrived_on)::date END
FROM (
    SELECT n.season_id, n.order_code, sum(greatest(n.quantity - coalesce(c.quantity, 0), 0)) AS open,
        sum(coalesce(c.quantity, 0)) AS here
    FROM order_line AS n
        JOIN part AS p ON p.code = n.part
        LEFT JOIN (
            SELECT l.season_id, l.order_code, l.part_id, sum(l.quantity) AS quantity
            FROM lot AS l
            WHERE l.from_lot IS NULL AND NOT EXISTS (
                SELECT FROM movement AS m JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id
                WHERE m.lot_id = l.id AND 'supplier' IN (f.code, g.code)
                HAVING count(*) > 0 AND sum(CASE WHEN f.code = 'supplier' THEN m.quantity ELSE -m.quantity END) = 0)
            GROUP BY l.season_id, l.order_code, l.part_id
        ) AS c ON c.season_id = n.season_id AND c.order_code = n.order_code AND c.part_id = p.id
    GROUP BY n.season_id, n.order_code
) AS x
WHERE x.season_id = o.season_id AND x.order_code = o.code AND (o.season_id, o.code) IN (
    SELECT sqlc.arg(season_id)::integer, sqlc.arg(code)::text
    UNION ALL
    SELECT l.season_id, l.order_code
    FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id
    WHERE m.entry_id = sqlc.arg(entry_id)::uuid AND 'supplier' IN (f.code, g.code));

-- name: LotsTakenBack :many
-- Lots whose receipt was undone by then: nothing came. Only what an undo gave back to a
-- supplier is looked at.
SELECT l.code
FROM lot AS l JOIN movement AS m ON m.lot_id = l.id JOIN entry AS e ON e.id = m.entry_id
    JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id
WHERE l.season_id = sqlc.arg(season_id) AND e.happened_at < sqlc.arg(before) AND 'supplier' IN (f.code, g.code)
    AND l.id IN (SELECT r.lot_id FROM entry AS u JOIN movement AS r ON r.entry_id = u.id JOIN place AS s ON s.id = r.to_id AND s.code = 'supplier'
        WHERE u.season_id = sqlc.arg(season_id) AND u.kind = 'undo' AND u.happened_at < sqlc.arg(before))
GROUP BY l.code
HAVING sum(CASE WHEN f.code = 'supplier' THEN m.quantity ELSE -m.quantity END) = 0;
