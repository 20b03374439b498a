-- How a record gets into the ledger: two calls, so that a record costs two round trips
-- and the locks are held no longer than the choice of stock takes.

-- +goose Up

-- Counts what changes the catalogue or the plan, so that a program may keep both in
-- memory between records and know when to read them again.
CREATE TABLE plan_version (
    only_row boolean PRIMARY KEY DEFAULT true CHECK (only_row),
    version  bigint NOT NULL DEFAULT 1
);
INSERT INTO plan_version DEFAULT VALUES;

-- record_begin starts a record: it claims the entry's id (a repeat of a record that is
-- still being written waits here), locks the parts touched in the order of their ids
-- (so that no two records can wait for each other) and returns what the choice of stock
-- needs: the parts' lots, tags and balances, and what happened or was counted after the
-- record's own time. For a repeat it returns only the hash of the first request.
-- +goose StatementBegin
CREATE FUNCTION record_begin(
    in_season integer, in_id uuid, in_kind text, in_person text, in_happened_at timestamptz, in_hash bytea,
    in_undoes uuid, in_reference text, in_due_back_on date, in_notes text, in_parts text[],
    in_service text, in_assembly text
) RETURNS json LANGUAGE plpgsql AS $$
DECLARE
    first_hash bytea;
    part_ids   integer[];
    lots       integer[];
BEGIN
    INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash, undoes, reference, due_back_on, notes)
    SELECT in_id, in_season, in_kind, nullif(in_person, ''), in_happened_at, clock_timestamp() + c.ahead_by, in_hash, in_undoes,
        in_reference, in_due_back_on, in_notes
    FROM clock AS c
    ON CONFLICT (id) DO NOTHING;
    IF NOT FOUND THEN
        SELECT request_hash INTO first_hash FROM entry WHERE id = in_id;
        RETURN json_build_object('repeat_of', encode(first_hash, 'hex'));
    END IF;
    SELECT coalesce(array_agg(p.id), '{}') INTO part_ids
    FROM (SELECT id FROM part WHERE code = ANY (in_parts) ORDER BY id FOR NO KEY UPDATE) AS p;
    SELECT coalesce(array_agg(id), '{}') INTO lots FROM lot WHERE part_id = ANY (part_ids) AND season_id = in_season;
    RETURN json_build_object(
        'version', (SELECT version FROM plan_version),
        -- likely the same job logged by somebody else, or again after a lost connection
        'doubles', (SELECT coalesce(json_agg(json_build_object('id', e.id, 'person', coalesce(e.person, ''), 'at', e.happened_at)
                ORDER BY e.happened_at), '[]')
            FROM job AS j JOIN entry AS e ON e.id = j.entry_id LEFT JOIN entry AS u ON u.undoes = e.id
            WHERE in_service <> '' AND j.service = in_service AND j.assembly IS NOT DISTINCT FROM nullif(in_assembly, '')
                AND j.season_id = in_season AND u.id IS NULL
                AND e.happened_at BETWEEN in_happened_at - interval '6 hours' AND in_happened_at + interval '6 hours'),
        'lots', (SELECT coalesce(json_agg(json_build_object('code', l.code, 'part', p.code, 'received_on', l.received_on,
                'expires_on', l.expires_on, 'quantity', l.quantity) ORDER BY l.pos, l.code), '[]')
            FROM lot AS l JOIN part AS p ON p.id = l.part_id WHERE l.id = ANY (lots)),
        'tags', (SELECT coalesce(json_agg(json_build_object('code', t.code, 'lot', l.code, 'part', p.code, 'tare_mg', t.tare_mg,
                'contents', t.contents, 'opened_on', t.opened_on) ORDER BY t.pos, t.code), '[]')
            FROM tag AS t JOIN lot AS l ON l.id = t.lot_id JOIN part AS p ON p.id = t.part_id WHERE t.lot_id = ANY (lots)),
        'balances', (SELECT coalesce(json_agg(json_build_object('lot', l.code, 'tag', coalesce(t.code, ''), 'place', p.code,
                'quantity', b.quantity)), '[]')
            FROM balance AS b JOIN lot AS l ON l.id = b.lot_id JOIN place AS p ON p.id = b.place_id
                LEFT JOIN tag AS t ON t.id = b.tag_id
            WHERE b.lot_id = ANY (lots) AND b.kept AND b.quantity <> 0),
        'moves', (SELECT coalesce(json_agg(json_build_object('at', e.happened_at, 'lot', l.code, 'tag', coalesce(t.code, ''),
                'from', f.code, 'to', g.code, 'quantity', m.quantity) ORDER BY e.happened_at, s.seq, m.n), '[]')
            FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id JOIN movement AS m ON m.entry_id = e.id
                JOIN lot AS l ON l.id = m.lot_id JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id
                LEFT JOIN tag AS t ON t.id = m.tag_id
            WHERE e.season_id = in_season AND e.happened_at > in_happened_at AND m.lot_id = ANY (lots)),
        'counts', (SELECT coalesce(json_agg(json_build_object('at', e.happened_at, 'id', e.id, 'exact', e.kind = 'stock',
                'place', coalesce(p.code, ''), 'part', q.code, 'lot', coalesce(l.code, ''), 'tag', coalesce(t.code, ''))
                ORDER BY e.happened_at, s.seq), '[]')
            FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id
                LEFT JOIN count_line AS c ON c.entry_id = e.id
                LEFT JOIN weighing AS w ON w.entry_id = e.id
                LEFT JOIN tag AS t ON t.id = coalesce(c.tag_id, w.tag_id)
                LEFT JOIN lot AS l ON l.id = coalesce(c.lot_id, t.lot_id)
                JOIN part AS q ON q.id = coalesce(c.part_id, l.part_id)
                LEFT JOIN place AS p ON p.id = c.place_id
                LEFT JOIN entry AS u ON u.undoes = e.id
            WHERE e.season_id = in_season AND e.happened_at > in_happened_at AND q.id = ANY (part_ids) AND u.id IS NULL));
END $$;
-- +goose StatementEnd

-- record_write stores what the ledger made of records: entries (but those that
-- record_begin has claimed), their order of arrival, movements, balances, and the job,
-- count or weighing of each. Every row must find what it names, or nothing is written.
-- +goose StatementBegin
CREATE FUNCTION record_write(
    in_season integer, in_entries json, in_movements json, in_balances json, in_jobs json, in_counts json, in_weighings json,
    in_opened json, in_place_moves json
) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
    got    bigint;
    wanted bigint;
BEGIN
    INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash, undoes, code, reference,
        due_back_on, notes, pos)
    SELECT r.id, in_season, r.kind, nullif(r.person, ''), r.happened_at, clock_timestamp() + c.ahead_by,
        decode(r.request_hash, 'hex'), r.undoes, nullif(r.code, ''), r.reference, r.due_back_on, r.notes, r.sheet_pos
    FROM json_to_recordset(in_entries) AS r (id uuid, kind text, person text, happened_at timestamptz,
        request_hash text, undoes uuid, code text, reference text, due_back_on date, notes text, sheet_pos integer,
        claimed boolean), clock AS c
    WHERE NOT r.claimed;

    -- after the locks, in the order the entries were posted
    INSERT INTO entry_seq (entry_id)
    SELECT (r.value ->> 'id')::uuid FROM json_array_elements(in_entries) WITH ORDINALITY AS r (value, n) ORDER BY r.n;

    INSERT INTO movement (entry_id, quantity, lot_id, tag_id, from_id, to_id, n, notes)
    SELECT r.entry_id, r.quantity, l.id, t.id, f.id, g.id, r.n, nullif(r.notes, '')
    FROM json_to_recordset(in_movements) AS r (entry_id uuid, n smallint, lot text, tag text, from_place text,
            to_place text, quantity bigint, notes text)
        JOIN lot AS l ON l.season_id = in_season AND l.code = r.lot
        JOIN place AS f ON f.code = r.from_place
        JOIN place AS g ON g.code = r.to_place
        LEFT JOIN tag AS t ON t.season_id = in_season AND t.code = nullif(r.tag, '')
    WHERE r.tag = '' OR t.id IS NOT NULL;
    GET DIAGNOSTICS got = ROW_COUNT;
    wanted := json_array_length(in_movements);
    IF got <> wanted THEN
        RAISE EXCEPTION 'of % movements % name a lot, tag or place that is not there', wanted, wanted - got USING ERRCODE = 'foreign_key_violation';
    END IF;

    -- New keys are inserted with what they now hold, known ones are updated: an upsert
    -- with a negative amount would fail the check though the row holds enough.
    WITH net AS (
        SELECT l.id AS lot_id, t.id AS tag_id, p.id AS place_id, p.kept, r.change, b.lot_id IS NOT NULL AS held
        FROM json_to_recordset(in_balances) AS r (lot text, tag text, place text, change bigint)
            JOIN lot AS l ON l.season_id = in_season AND l.code = r.lot
            JOIN place AS p ON p.code = r.place
            LEFT JOIN tag AS t ON t.season_id = in_season AND t.code = nullif(r.tag, '')
            LEFT JOIN balance AS b ON b.lot_id = l.id AND b.place_id = p.id AND b.tag_id IS NOT DISTINCT FROM t.id
        WHERE r.tag = '' OR t.id IS NOT NULL
    ), added AS (
        INSERT INTO balance (lot_id, tag_id, place_id, kept, quantity)
        SELECT lot_id, tag_id, place_id, kept, change FROM net WHERE NOT held
        RETURNING 1
    ), updated AS (
        UPDATE balance AS b SET quantity = b.quantity + net.change
        FROM net
        WHERE net.held AND b.lot_id = net.lot_id AND b.place_id = net.place_id AND b.tag_id IS NOT DISTINCT FROM net.tag_id
        RETURNING 1
    )
    SELECT (SELECT count(*) FROM added) + (SELECT count(*) FROM updated) INTO got;
    wanted := json_array_length(in_balances);
    IF got <> wanted THEN
        RAISE EXCEPTION 'of % balances % name a lot, tag or place that is not there', wanted, wanted - got USING ERRCODE = 'foreign_key_violation';
    END IF;

    INSERT INTO job (entry_id, season_id, round, service, assembly, arrived_at, used_nothing)
    SELECT r.entry_id, in_season, nullif(r.round, ''), r.service, nullif(r.assembly, ''), r.arrived_at, r.used_nothing
    FROM json_to_recordset(in_jobs) AS r (entry_id uuid, round text, service text, assembly text,
        arrived_at timestamptz, used_nothing boolean);

    INSERT INTO count_line (entry_id, place_id, part_id, lot_id, tag_id, counted, book)
    SELECT r.entry_id, p.id, q.id, l.id, t.id, r.counted, r.book
    FROM json_to_recordset(in_counts) AS r (entry_id uuid, place text, part text, lot text, tag text,
            counted bigint, book bigint)
        JOIN place AS p ON p.code = r.place
        JOIN part AS q ON q.code = r.part
        LEFT JOIN lot AS l ON l.season_id = in_season AND l.code = nullif(r.lot, '')
        LEFT JOIN tag AS t ON t.season_id = in_season AND t.code = nullif(r.tag, '');
    GET DIAGNOSTICS got = ROW_COUNT;
    wanted := json_array_length(in_counts);
    IF got <> wanted THEN
        RAISE EXCEPTION 'of % counts % name a part or place that is not there', wanted, wanted - got USING ERRCODE = 'foreign_key_violation';
    END IF;

    INSERT INTO weighing (entry_id, tag_id, gross_mg, bench_c, book_ul)
    SELECT r.entry_id, t.id, r.gross_mg, r.bench_c, r.book_ul
    FROM json_to_recordset(in_weighings) AS r (entry_id uuid, tag text, gross_mg bigint, bench_c numeric,
            book_ul bigint)
        JOIN tag AS t ON t.season_id = in_season AND t.code = r.tag;
    GET DIAGNOSTICS got = ROW_COUNT;
    wanted := json_array_length(in_weighings);
    IF got <> wanted THEN
        RAISE EXCEPTION 'of % weighings % name a tag that is not there', wanted, wanted - got USING ERRCODE = 'foreign_key_violation';
    END IF;

    UPDATE tag AS t SET opened_on = r.opened_on
    FROM json_to_recordset(in_opened) AS r (tag text, opened_on date)
    WHERE t.season_id = in_season AND t.code = r.tag AND t.opened_on IS NULL;

    INSERT INTO place_move (entry_id, place, parent)
    SELECT r.entry_id, r.place, nullif(r.parent, '')
    FROM json_to_recordset(in_place_moves) AS r (entry_id uuid, place text, parent text);
END $$;
-- +goose StatementEnd

CREATE INDEX job_assembly ON job (assembly, service);
