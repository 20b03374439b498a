-- What one command recorded, as it is told, taken back and put back.

-- name: CommandOf :many
-- The entries of the command that an entry belongs to, in the order in which they came. What
-- the ledger booked because of them is not among them.
SELECT e.id, coalesce(e.code, '')::text AS code, e.kind, coalesce(e.person, '')::text AS person, e.happened_at, e.reference, e.notes, e.undoes,
    e.due_back_on, (e.pos IS NOT NULL)::boolean AS of_workbook, u.id AS undone_by, d.redoes, r.entry_id AS redone_by,
    coalesce(j.round, '')::text AS round, coalesce(j.service, '')::text AS service, coalesce(j.assembly, '')::text AS assembly,
    j.arrived_at, coalesce(j.used_nothing, false)::boolean AS used_nothing,
    coalesce(cp.code, '')::text AS place, coalesce(cq.code, '')::text AS part, coalesce(c.counted, 0)::bigint AS counted, c.book,
    coalesce(wt.code, '')::text AS tag, coalesce(wq.code, '')::text AS weighed, coalesce(w.gross_mg, 0)::bigint AS gross_mg,
    coalesce(pm.place, '')::text AS moved, coalesce(pm.parent, '')::text AS parent,
    coalesce(x.what, '')::text AS what, coalesce(x.subject, '')::text AS subject, coalesce(x.service, '')::text AS planned, coalesce(x.assembly, '')::text AS planned_on,
    coalesce(x.was, 'null')::json AS was, coalesce(x.now, 'null')::json AS now
FROM entry AS e
    JOIN entry_seq AS s ON s.entry_id = e.id
    LEFT JOIN entry AS u ON u.undoes = e.id
    LEFT JOIN redo AS d ON d.entry_id = e.id
    LEFT JOIN redo AS r ON r.redoes = e.id
    LEFT JOIN job AS j ON j.entry_id = e.id
    LEFT JOIN count_line AS c ON c.entry_id = e.id
    LEFT JOIN place AS cp ON cp.id = c.place_id
    LEFT JOIN part AS cq ON cq.id = c.part_id
    LEFT JOIN weighing AS w ON w.entry_id = e.id
    LEFT JOIN tag AS wt ON wt.id = w.tag_id
    LEFT JOIN part AS wq ON wq.id = wt.part_id
    LEFT JOIN place_move AS pm ON pm.entry_id = e.id
    LEFT JOIN plan_change AS x ON x.entry_id = e.id
WHERE e.id IN (SELECT sqlc.arg(id)::uuid
    UNION SELECT o.entry_id FROM together AS t JOIN together AS o ON o.command = t.command WHERE t.entry_id = sqlc.arg(id)::uuid)
ORDER BY s.seq;

-- name: LastActOf :one
-- The last thing a person recorded here, an undo too, and what took it back (null: nothing).
SELECT e.id, e.kind, u.id AS undone_by
FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id LEFT JOIN entry AS u ON u.undoes = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.person = sqlc.arg(person)::text AND e.pos IS NULL
    AND NOT (e.kind IN ('count', 'weighing', 'undo') AND (e.reference <> '' OR e.kind = 'undo') AND substr(e.id::text, 15, 1) = '5')
ORDER BY s.seq DESC LIMIT 1;

-- name: LastUndoOf :one
-- The last thing a person took back here that was not put back since, nor before.
SELECT e.id
FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id
WHERE e.season_id = sqlc.arg(season_id) AND e.person = sqlc.arg(person)::text AND e.pos IS NULL AND e.kind = 'undo' AND substr(e.id::text, 15, 1) <> '5'
    AND NOT EXISTS (SELECT FROM redo AS r WHERE r.redoes = e.id) AND NOT EXISTS (SELECT FROM redo AS r WHERE r.entry_id = e.undoes)
ORDER BY s.seq DESC LIMIT 1;

-- name: TogetherAdd :exec
INSERT INTO together (entry_id, command) VALUES (sqlc.arg(entry_id), sqlc.arg(command));

-- name: RedoAdd :exec
INSERT INTO redo (entry_id, redoes) VALUES (sqlc.arg(entry_id), sqlc.arg(redoes));

-- name: ChangeEntry :exec
-- An entry that changes the plan or an order moves nothing.
WITH e AS (
    INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash, notes)
    SELECT sqlc.arg(id)::uuid, sqlc.arg(season_id)::integer, sqlc.arg(kind)::text, nullif(sqlc.arg(person)::text, ''), sqlc.arg(happened_at)::timestamptz,
        clock_timestamp() + c.ahead_by, sqlc.arg(request_hash)::bytea, sqlc.arg(notes)::text
    FROM clock AS c
    RETURNING id
)
INSERT INTO entry_seq (entry_id) SELECT id FROM e;

-- name: ChangeAdd :exec
INSERT INTO plan_change (entry_id, what, subject, service, assembly, was, now)
VALUES (sqlc.arg(entry_id), sqlc.arg(what), sqlc.arg(subject), sqlc.arg(service), sqlc.arg(assembly), sqlc.arg(was), sqlc.arg(now));

-- name: RoundWeatherOf :one
SELECT weather, weather_seen_on FROM round WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(round);

-- name: RoundWeatherBack :exec
UPDATE round SET weather = sqlc.arg(weather), weather_seen_on = sqlc.narg(seen_on)::date WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(round);

-- name: TripBackOf :one
SELECT back_on FROM trip WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(trip);

-- name: TripBackSet :exec
UPDATE trip SET back_on = sqlc.narg(on_day)::date WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(trip);

-- name: OrderOf :one
SELECT state, placed_on, due_on, notes FROM orders WHERE season_id = sqlc.arg(season_id) AND code = sqlc.arg(code);

-- name: PlaceMovedSince :one
-- Whether a place was moved since an entry came, and that stands.
SELECT EXISTS (SELECT FROM place_move AS m JOIN entry_seq AS s ON s.entry_id = m.entry_id
    WHERE m.place = sqlc.arg(place) AND s.seq > (SELECT seq FROM entry_seq WHERE entry_seq.entry_id = sqlc.arg(entry_id))
        AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = m.entry_id))::boolean AS moved;
