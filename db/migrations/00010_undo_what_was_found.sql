-- A job or a move that arrives late may leave less than nothing now: the rest is booked as
-- found. Taken back, it left nothing short, and what was found goes with it.

-- +goose Up

-- record_begin starts a record: it claims the entry's id (a repeat of a record that is
-- still being written waits here), locks the parts touched in the order of their ids
-- (so that no two records can wait for each other) and returns what the choice of stock
-- needs: the parts' lots, tags and balances, and what happened or was counted after the
-- record's own time; of an undo also what it takes back, and of a count (or the undo of
-- one) the undos it lies before. For a repeat it returns only the hash of the first request.
--
-- Every question after the locks is a statement of its own: under READ COMMITTED it sees
-- what was committed while this record waited. Each is asked only where it can have an
-- answer, and from a small set of ids, so that its cost does not grow with the ledger; its
-- joins stand in the order in which they are to be done, so a session plans it once, and
-- go by index: a plan for unknown ids would read whole tables, and so would one made while
-- the ledger is new, also those by which references are checked; a session keeps its plans.
-- +goose StatementBegin
CREATE OR REPLACE FUNCTION record_begin(
    in_season integer, in_id uuid, in_kind text, in_person text, in_happened_at timestamptz, in_hash bytea,
    in_undoes uuid, in_reference text, in_due_back_on date, in_notes text, in_parts text[],
    in_service text, in_assembly text, in_trip text
) RETURNS json LANGUAGE plpgsql SET join_collapse_limit = 1 SET plan_cache_mode = force_generic_plan
    SET enable_hashjoin = off SET enable_mergejoin = off SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    first_hash bytea;
    part_ids   integer[];
    lot_ids    integer[];
    counting   boolean := in_kind IN ('count', 'weighing');
    since      timestamptz := in_happened_at; -- an undo asks for what came since what it takes back
    counts_at  timestamptz;
    later      uuid[];
    lots       json;
    tags       json;
    balances   json;
    doubles    json;
    moves      json;
    counts     json;
    undone     json;
    crossed    json;
    parents    json;
    packed     json;
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

    SELECT coalesce(array_agg(s.part_id), '{}') INTO part_ids
    FROM (
            SELECT s.part_id FROM part AS p JOIN part_stock AS s ON s.part_id = p.id
            WHERE p.code = ANY (in_parts) ORDER BY s.part_id FOR NO KEY UPDATE OF s
        ) AS s;
    UPDATE part_stock SET version = version + 1, last_at = greatest(last_at, in_happened_at) WHERE part_id = ANY (part_ids);

    SELECT coalesce(array_agg(l.id), '{}'),
        json_agg(json_build_object('code', l.code, 'part', p.code, 'received_on', l.received_on, 'expires_on', l.expires_on,
            'quantity', l.quantity) ORDER BY l.pos, l.code)
    INTO lot_ids, lots
    FROM lot AS l JOIN part AS p ON p.id = l.part_id
    WHERE l.part_id = ANY (part_ids) AND l.season_id = in_season;

    SELECT json_agg(json_build_object('code', t.code, 'lot', l.code, 'part', p.code, 'tare_mg', t.tare_mg,
            'contents', t.contents, 'opened_on', t.opened_on) ORDER BY t.pos, t.code)
    INTO tags
    FROM tag AS t JOIN lot AS l ON l.id = t.lot_id JOIN part AS p ON p.id = t.part_id
    WHERE t.lot_id = ANY (lot_ids);

    SELECT json_agg(json_build_object('lot', l.code, 'tag', coalesce(t.code, ''), 'place', p.code, 'quantity', b.quantity,
            'used_at', b.used_at))
    INTO balances
    FROM balance AS b JOIN lot AS l ON l.id = b.lot_id JOIN place AS p ON p.id = b.place_id LEFT JOIN tag AS t ON t.id = b.tag_id
    WHERE b.lot_id = ANY (lot_ids) AND b.kept AND (b.quantity <> 0 OR b.used_at IS NOT NULL);

    IF in_undoes IS NOT NULL THEN
        SELECT least(in_happened_at, happened_at), kind IN ('count', 'weighing') INTO since, counting FROM entry WHERE id = in_undoes;
    END IF;
    counts_at := since;
    IF counting THEN -- an undo after this moment may take back what lies before it: the counts since then
        SELECT least(since, min(v.happened_at)) INTO counts_at
        FROM entry AS u JOIN entry AS v ON v.id = u.undoes
        WHERE u.season_id = in_season AND u.kind = 'undo' AND u.happened_at >= since AND u.id <> in_id;
    END IF;

    -- mostly nothing has happened since: one look at the end of an index tells
    PERFORM FROM entry WHERE season_id = in_season AND happened_at >= counts_at AND id <> in_id
    ORDER BY season_id, happened_at LIMIT 1;
    IF FOUND THEN
        SELECT array_agg(id) INTO later FROM entry WHERE season_id = in_season AND happened_at >= counts_at AND id <> in_id;
        SELECT json_agg(json_build_object('at', e.happened_at, 'lot', l.code, 'tag', coalesce(t.code, ''),
                'from', f.code, 'to', g.code, 'quantity', m.quantity) ORDER BY e.happened_at, s.seq, m.n)
        INTO moves
        FROM unnest(later) AS x (id) JOIN entry AS e ON e.id = x.id JOIN entry_seq AS s ON s.entry_id = e.id
            JOIN movement AS m ON m.entry_id = e.id JOIN lot AS l ON l.id = m.lot_id
            JOIN place AS f ON f.id = m.from_id JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id
        WHERE e.happened_at > CASE WHEN counting THEN since ELSE in_happened_at END AND m.lot_id = ANY (lot_ids);
        SELECT json_agg(json_build_object('at', e.happened_at, 'id', e.id, 'seq', s.seq, 'exact', e.kind = 'stock',
                'place', coalesce(p.code, ''), 'part', q.code, 'lot', coalesce(l.code, ''), 'tag', coalesce(t.code, ''))
                ORDER BY e.happened_at, s.seq)
        INTO counts
        FROM unnest(later) AS x (id) JOIN entry AS e ON e.id = x.id JOIN entry_seq AS s ON s.entry_id = e.id
            LEFT JOIN count_line AS c ON c.entry_id = e.id
            LEFT JOIN weighing AS w ON w.entry_id = e.id
            LEFT JOIN tag AS t ON t.id = coalesce(c.tag_id, w.tag_id)
            LEFT JOIN lot AS l ON l.id = coalesce(c.lot_id, t.lot_id)
            JOIN part AS q ON q.id = coalesce(c.part_id, l.part_id)
            LEFT JOIN place AS p ON p.id = c.place_id
        WHERE e.kind IN ('count', 'weighing', 'stock') AND q.id = ANY (part_ids)
            AND (counting OR in_undoes IS NOT NULL OR e.happened_at > in_happened_at)
            AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id);
    END IF;

    IF in_undoes IS NOT NULL THEN
        -- what an undo takes back: the record, and what was booked because of it: of a count
        -- or a weighing its difference and what it took back, of any record that a person
        -- made what it left short and was booked as found. What the load of a workbook found
        -- refers to its last row: who takes that one back means only it.
        SELECT json_agg(json_build_object('id', e.id, 'at', e.happened_at, 'seq', s.seq, 'moves',
                (SELECT coalesce(json_agg(json_build_object('lot', l.code, 'tag', coalesce(t.code, ''), 'from', f.code, 'to', g.code,
                        'quantity', m.quantity) ORDER BY m.n), '[]')
                    FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN place AS f ON f.id = m.from_id
                        JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id
                    WHERE m.entry_id = e.id)) ORDER BY e.id <> in_undoes, s.seq)
        INTO undone
        FROM (
                SELECT in_undoes AS id
                UNION ALL
                SELECT e.id
                FROM entry AS o JOIN entry AS e ON e.season_id = o.season_id AND e.kind IN ('count', 'weighing')
                        AND e.reference IN (o.id::text, coalesce(o.code, o.id::text)) AND e.reference <> ''
                WHERE o.id = in_undoes AND (o.kind IN ('count', 'weighing') OR o.pos IS NULL AND substr(o.id::text, 15, 1) <> '5')
                    AND NOT EXISTS (SELECT FROM count_line AS c WHERE c.entry_id = e.id)
                    AND NOT EXISTS (SELECT FROM weighing AS c WHERE c.entry_id = e.id)
            ) AS x
            JOIN entry AS e ON e.id = x.id JOIN entry_seq AS s ON s.entry_id = e.id
        WHERE NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id AND u.id <> in_id);
    END IF;

    IF counting THEN
        -- undos on the other side of this count (or of the one this undoes) from what they
        -- took back: what was done to each key, what undo and corrections left of it, and
        -- what each entry made because of the undo did
        SELECT json_agg(json_build_object('undo', u.id, 'undo_seq', us.seq, 'done_at', v.happened_at, 'done_seq', vs.seq,
                'undone_at', u.happened_at, 'lot', l.code, 'tag', coalesce(t.code, ''), 'place', p.code, 'done', x.done, 'net', x.net,
                'made', coalesce(x.made, '[]'))
                ORDER BY u.happened_at, us.seq, p.code, l.code, t.code)
        INTO crossed
        FROM entry AS u JOIN entry_seq AS us ON us.entry_id = u.id
            JOIN entry AS v ON v.id = u.undoes AND v.happened_at <= since JOIN entry_seq AS vs ON vs.entry_id = v.id
            CROSS JOIN LATERAL (
                SELECT n.lot_id, n.tag_id, n.place_id, sum(n.quantity) FILTER (WHERE n.entry_id = v.id) AS done, sum(n.quantity) AS net,
                    json_agg(json_build_object('id', n.entry_id, 'quantity', n.quantity)) FILTER (WHERE n.entry_id NOT IN (v.id, u.id)) AS made
                FROM (
                        SELECT v.id
                        UNION ALL SELECT u.id
                        UNION ALL SELECT r.id FROM entry AS r
                            WHERE r.season_id = in_season AND r.kind IN ('count', 'weighing', 'pack') AND r.reference = u.id::text AND r.reference <> ''
                    ) AS y (id)
                    CROSS JOIN LATERAL (
                        SELECT m.entry_id, m.lot_id, m.tag_id, m.to_id AS place_id, m.quantity FROM movement AS m WHERE m.entry_id = y.id
                        UNION ALL SELECT m.entry_id, m.lot_id, m.tag_id, m.from_id, -m.quantity FROM movement AS m WHERE m.entry_id = y.id
                    ) AS n
                GROUP BY n.lot_id, n.tag_id, n.place_id
            ) AS x
            JOIN place AS p ON p.id = x.place_id AND p.kept JOIN lot AS l ON l.id = x.lot_id LEFT JOIN tag AS t ON t.id = x.tag_id
        WHERE u.season_id = in_season AND u.kind = 'undo' AND u.happened_at >= since AND u.id <> in_id
            AND x.done <> 0 AND x.lot_id = ANY (lot_ids);
    END IF;

    IF in_service <> '' THEN
        doubles := likely_doubles(in_season, ARRAY[in_id], in_service, in_assembly, in_happened_at);
    END IF;

    -- where cases stand then, and which are packed for the job's trip
    PERFORM FROM place_move LIMIT 1;
    IF FOUND THEN
        SELECT json_object_agg(x.place, coalesce(x.parent, '')) INTO parents
        FROM (SELECT DISTINCT ON (m.place) m.place, m.parent FROM place_move AS m JOIN entry AS e ON e.id = m.entry_id
            JOIN entry_seq AS s ON s.entry_id = e.id
            WHERE e.happened_at <= in_happened_at AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id)
            ORDER BY m.place, e.happened_at DESC, s.seq DESC) AS x;
    END IF;
    IF in_trip <> '' THEN
        SELECT json_agg(DISTINCT g.code) INTO packed
        FROM entry AS e JOIN movement AS m ON m.entry_id = e.id JOIN place AS g ON g.id = m.to_id AND g.kept
        WHERE e.season_id = in_season AND e.kind = 'pack' AND e.reference = in_trip AND e.reference <> '' AND e.happened_at <= in_happened_at
            AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id);
    END IF;

    RETURN json_build_object('version', (SELECT version FROM plan_version), 'doubles', doubles, 'lots', lots, 'tags', tags,
        'balances', balances, 'moves', moves, 'counts', counts, 'undone', undone, 'crossed', crossed, 'parents', parents, 'packed', packed);
END $$;
-- +goose StatementEnd
