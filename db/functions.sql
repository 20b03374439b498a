-- revision 3 sha256 806607ee1bde41991def05d6bbbaac6562f4ffc124d6e048c72634d572e2327f
-- The database's functions as they are now, and the triggers that call them: loaded whole after
-- the migrations by every program that finds another revision here (db/functions.go). To change
-- one, change it here, raise the revision and put in the hash that the test asks for. What a
-- migration has to change in a table of the ledger it does between DISABLE and ENABLE TRIGGER USER.

-- No trigger hangs on these: they go first, whatever their arguments were.
DO $$
DECLARE
    old regprocedure;
BEGIN
    FOR old IN SELECT oid FROM pg_proc WHERE pronamespace = current_schema()::regnamespace
        AND proname IN ('record_begin', 'record_write', 'likely_doubles', 'home_rate')
    LOOP
        EXECUTE 'DROP FUNCTION ' || old;
    END LOOP;
END $$;

-- The ledger refuses change, also for its owner: REVOKE does not bind the owner of a
-- private cluster, a trigger does. entry comes first: who records waits there, holding nothing.
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the ledger is append-only: % on % is refused; undo the entry instead', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END $$;
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON entry FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON entry_seq FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON movement FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON job FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON count_line FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON weighing FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON lot_cost FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON place_move FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON together FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON redo FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON plan_change FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON charge FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_month FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_total FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON closed_price FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE OR REPLACE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON use_history FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- A rate that closed months were reckoned with stands: a new one would change them.
CREATE OR REPLACE FUNCTION keep_closed_rates() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    r      exchange_rate%ROWTYPE;
    closed date;
BEGIN
    IF TG_OP = 'DELETE' THEN r := OLD; ELSE r := NEW; END IF;
    IF TG_OP <> 'DELETE' AND EXISTS (SELECT FROM exchange_rate AS k WHERE k.currency = r.currency AND k.from_on = r.from_on AND k.rate = r.rate) THEN
        RETURN r; -- the same again
    END IF;
    SELECT max(month) + interval '1 month' INTO closed FROM closed_month;
    IF closed IS NULL OR r.from_on >= closed THEN
        RETURN r;
    END IF;
    IF EXISTS (SELECT FROM lot AS l JOIN lot_cost AS c ON c.lot_id = l.id WHERE c.currency = r.currency AND l.received_on >= r.from_on AND l.received_on < closed)
        OR EXISTS (SELECT FROM charge AS c WHERE c.currency = r.currency AND c.on_day >= r.from_on AND c.on_day < closed) THEN
        RAISE EXCEPTION 'the rate of % from % is one that closed months were reckoned with, up to %: give a new one from % on',
            r.currency, r.from_on, closed - 1, closed USING ERRCODE = 'restrict_violation';
    END IF;
    RETURN r;
END $$;
CREATE OR REPLACE TRIGGER keep_closed_rates BEFORE INSERT OR UPDATE OR DELETE ON exchange_rate FOR EACH ROW EXECUTE FUNCTION keep_closed_rates();

-- What a movement names is looked for once a statement and not once a row: a reference
-- checked row by row also locks the place and the lot it names, and everybody names the
-- place "used". Nothing that a movement may name can be removed or get another number, so
-- that no lock is needed.
CREATE OR REPLACE FUNCTION refuse_removal() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the ledger may speak of it: % on % is refused', TG_OP, TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;
CREATE OR REPLACE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id ON lot FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();
CREATE OR REPLACE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id, lot_id ON tag FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();
CREATE OR REPLACE TRIGGER refuse_removal BEFORE DELETE OR TRUNCATE OR UPDATE OF id ON place FOR EACH STATEMENT EXECUTE FUNCTION refuse_removal();

CREATE OR REPLACE FUNCTION movement_refers() RETURNS trigger LANGUAGE plpgsql SET join_collapse_limit = 1 SET plan_cache_mode = force_generic_plan
    SET enable_hashjoin = off SET enable_mergejoin = off SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    wrong record;
BEGIN
    SELECT m.* INTO wrong
    FROM added AS m LEFT JOIN entry AS e ON e.id = m.entry_id LEFT JOIN lot AS l ON l.id = m.lot_id
        LEFT JOIN place AS f ON f.id = m.from_id LEFT JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id AND t.lot_id = m.lot_id
    WHERE e.id IS NULL OR l.id IS NULL OR f.id IS NULL OR g.id IS NULL OR m.tag_id IS NOT NULL AND t.id IS NULL
    LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'movement % of entry % names an entry, lot, tag or place that is not there', wrong.n, wrong.entry_id USING ERRCODE = 'foreign_key_violation';
    END IF;
    RETURN NULL;
END $$;
CREATE OR REPLACE TRIGGER movement_refers AFTER INSERT ON movement REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION movement_refers();

-- Home currency for one of a currency on a day; null where nobody said.
CREATE FUNCTION home_rate(of_currency text, home text, on_day date) RETURNS numeric LANGUAGE sql STABLE AS $$
    SELECT CASE WHEN of_currency IN (home, '') THEN 1
        ELSE (SELECT r.rate FROM exchange_rate AS r WHERE r.currency = of_currency AND r.from_on <= on_day ORDER BY r.from_on DESC LIMIT 1) END
$$;

-- Jobs that are likely the same one, logged by somebody else or again after a lost
-- connection: of the same service on the same assembly within six hours, not taken back.
-- The job in_but does not count. Null where there is none.
CREATE FUNCTION likely_doubles(in_season integer, in_but uuid, in_service text, in_assembly text, in_happened_at timestamptz)
RETURNS json LANGUAGE plpgsql STABLE SET plan_cache_mode = force_generic_plan SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    ids uuid[];
BEGIN
    -- two questions, since "=" finds its rows by index and "is not distinct from" does not
    IF in_assembly = '' THEN
        ids := ARRAY(SELECT entry_id FROM job
            WHERE assembly IS NULL AND service = in_service AND season_id = in_season
                AND happened_at BETWEEN in_happened_at - interval '6 hours' AND in_happened_at + interval '6 hours'
                AND entry_id <> in_but AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = job.entry_id)
            ORDER BY happened_at LIMIT 5); -- more of them would tell nobody more
    ELSE
        ids := ARRAY(SELECT entry_id FROM job
            WHERE assembly = in_assembly AND service = in_service AND season_id = in_season
                AND happened_at BETWEEN in_happened_at - interval '6 hours' AND in_happened_at + interval '6 hours'
                AND entry_id <> in_but AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = job.entry_id)
            ORDER BY happened_at LIMIT 5);
    END IF;
    IF ids = '{}' THEN
        RETURN NULL;
    END IF;
    RETURN (SELECT json_agg(json_build_object('id', e.id, 'person', coalesce(e.person, ''), 'at', e.happened_at) ORDER BY e.happened_at, e.id)
        FROM entry AS e WHERE e.id = ANY (ids));
END $$;

-- record_begin starts a record: it locks the parts touched in the order of their ids (so that
-- no two records can wait for each other), claims the entry's id (a repeat of a record that is
-- still being written waits here at the latest) and returns what the choice of stock
-- needs: the parts' lots, tags and balances, and what happened or was counted after the
-- record's own time; without a time it happens now, when its turn has come, and so after all
-- that it waited for; of an undo also what it takes back, and of a count (or the undo of
-- one) the undos it lies before. For a repeat it returns only the hash of the first request.
--
-- Every question after the locks is a statement of its own: under READ COMMITTED it sees
-- what was committed while this record waited. Each is asked only where it can have an
-- answer, and from a small set of ids, so that its cost does not grow with the ledger; its
-- joins stand in the order in which they are to be done, so a session plans it once, and
-- go by index: a plan for unknown ids would read whole tables, and so would one made while
-- the ledger is new, also those by which references are checked; a session keeps its plans.
CREATE FUNCTION record_begin(
    in_season integer, in_id uuid, in_kind text, in_person text, in_happened_at timestamptz, in_hash bytea,
    in_undoes uuid, in_redoes uuid, in_reference text, in_due_back_on date, in_notes text, in_parts text[],
    in_service text, in_assembly text, in_trip text
) RETURNS json LANGUAGE plpgsql SET join_collapse_limit = 1 SET plan_cache_mode = force_generic_plan
    SET enable_hashjoin = off SET enable_mergejoin = off SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    first_hash bytea;
    part_ids   integer[];
    lot_ids    integer[];
    counting   boolean := in_kind IN ('count', 'weighing');
    again      uuid := NULL; -- what a redo puts back; one of a count is a late count and knows all it needs
    recorded   timestamptz;
    since      timestamptz; -- an undo or a redo asks for what came since the record it takes back, or puts back
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
    SELECT coalesce(array_agg(p.id), '{}') INTO part_ids
    FROM (SELECT id FROM part WHERE code = ANY (in_parts) ORDER BY id FOR NO KEY UPDATE) AS p;

    SELECT clock_timestamp() + ahead_by INTO recorded FROM clock;
    in_happened_at := coalesce(in_happened_at, recorded);
    since := in_happened_at;
    INSERT INTO entry (id, season_id, kind, person, happened_at, recorded_at, request_hash, undoes, reference, due_back_on, notes)
    VALUES (in_id, in_season, in_kind, nullif(in_person, ''), in_happened_at, recorded, in_hash, in_undoes, in_reference, in_due_back_on, in_notes)
    ON CONFLICT (id) DO NOTHING;
    IF NOT FOUND THEN
        SELECT request_hash INTO first_hash FROM entry WHERE id = in_id;
        RETURN json_build_object('repeat_of', encode(first_hash, 'hex'));
    END IF;

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
    IF in_redoes IS NOT NULL AND NOT counting THEN
        SELECT v.id, least(in_happened_at, v.happened_at) INTO again, since FROM entry AS u JOIN entry AS v ON v.id = u.undoes WHERE u.id = in_redoes;
    END IF;
    counts_at := since;
    IF counting THEN -- an undo after this moment may take back what lies before it: the counts since then
        SELECT least(since, min(v.happened_at)) INTO counts_at
        FROM entry AS u JOIN entry AS v ON v.id = u.undoes
        WHERE u.season_id = in_season AND u.kind = 'undo' AND u.happened_at >= since AND u.id <> in_id;
        SELECT least(counts_at, min(v.happened_at)) INTO counts_at
        FROM redo AS d JOIN entry AS e ON e.id = d.entry_id JOIN entry AS u ON u.id = d.redoes JOIN entry AS v ON v.id = u.undoes
        WHERE e.season_id = in_season AND e.happened_at >= since AND e.id <> in_id;
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
            AND (counting OR in_undoes IS NOT NULL OR again IS NOT NULL OR e.happened_at > in_happened_at)
            AND NOT EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id);
    END IF;

    IF in_undoes IS NOT NULL OR again IS NOT NULL THEN
        -- what an undo takes back, or a redo puts back: the record, and what was booked because of it: of a count
        -- or a weighing its difference and what it took back, of any record that a person
        -- made what it left short and was booked as found. What the load of a workbook found
        -- refers to its last row: who takes that one back means only it.
        SELECT json_agg(json_build_object('id', e.id, 'at', e.happened_at, 'seq', s.seq, 'moves',
                (SELECT coalesce(json_agg(json_build_object('lot', l.code, 'tag', coalesce(t.code, ''), 'from', f.code, 'to', g.code,
                        'quantity', m.quantity) ORDER BY m.n), '[]')
                    FROM movement AS m JOIN lot AS l ON l.id = m.lot_id JOIN place AS f ON f.id = m.from_id
                        JOIN place AS g ON g.id = m.to_id LEFT JOIN tag AS t ON t.id = m.tag_id
                    WHERE m.entry_id = e.id)) ORDER BY e.id <> coalesce(in_undoes, again), s.seq)
        INTO undone
        FROM (
                SELECT coalesce(in_undoes, again) AS id
                UNION ALL
                SELECT e.id
                FROM entry AS o JOIN entry AS e ON e.season_id = o.season_id AND e.kind IN ('count', 'weighing')
                        AND e.reference IN (o.id::text, coalesce(o.code, o.id::text)) AND e.reference <> ''
                WHERE o.id = coalesce(in_undoes, again) AND (o.kind IN ('count', 'weighing') OR o.pos IS NULL AND substr(o.id::text, 15, 1) <> '5')
                    AND NOT EXISTS (SELECT FROM count_line AS c WHERE c.entry_id = e.id)
                    AND NOT EXISTS (SELECT FROM weighing AS c WHERE c.entry_id = e.id)
                UNION ALL -- of a redo, what counts took back of what it found again
                SELECT c.id
                FROM redo AS o JOIN entry AS e ON e.season_id = in_season AND e.kind IN ('count', 'weighing') AND e.reference = o.entry_id::text AND e.reference <> ''
                    JOIN redo AS d ON d.entry_id = e.id
                    JOIN entry AS c ON c.season_id = in_season AND c.kind IN ('count', 'weighing') AND c.reference = e.id::text AND c.reference <> ''
                WHERE o.entry_id = in_undoes
            ) AS x
            JOIN entry AS e ON e.id = x.id JOIN entry_seq AS s ON s.entry_id = e.id
        WHERE (again IS NOT NULL) = EXISTS (SELECT FROM entry AS u WHERE u.undoes = e.id AND u.id <> in_id);
    END IF;

    IF counting THEN
        -- undos on the other side of this count (or of the one this undoes) from what they
        -- took back: what was done to each key, what undo and corrections left of it, and
        -- what each entry made because of the undo did; and redos on the other side from the
        -- record that they put back, which are undos of its opposite. A redo that is itself
        -- taken back has left nothing.
        SELECT json_agg(json_build_object('undo', u.id, 'undo_seq', us.seq, 'done_at', v.happened_at, 'done_seq', vs.seq,
                'undone_at', u.happened_at, 'lot', l.code, 'tag', coalesce(t.code, ''), 'place', p.code, 'done', x.done, 'net', x.net,
                'made', coalesce(x.made, '[]'))
                ORDER BY u.happened_at, us.seq, p.code, l.code, t.code)
        INTO crossed
        FROM (
                SELECT u.id, u.happened_at, u.undoes AS of_id, 1 AS sign FROM entry AS u
                WHERE u.season_id = in_season AND u.kind = 'undo' AND u.happened_at >= since AND u.id <> in_id
                UNION ALL
                SELECT e.id, e.happened_at, u.undoes, -1
                FROM redo AS d JOIN entry AS e ON e.id = d.entry_id JOIN entry AS u ON u.id = d.redoes
                WHERE e.season_id = in_season AND e.happened_at >= since AND e.id <> in_id
                    AND NOT EXISTS (SELECT FROM entry AS t WHERE t.undoes = e.id)
                    AND NOT EXISTS (SELECT FROM count_line AS c WHERE c.entry_id = e.id) AND NOT EXISTS (SELECT FROM weighing AS c WHERE c.entry_id = e.id)
            ) AS u JOIN entry_seq AS us ON us.entry_id = u.id
            JOIN entry AS v ON v.id = u.of_id AND v.happened_at <= since JOIN entry_seq AS vs ON vs.entry_id = v.id
            CROSS JOIN LATERAL (
                SELECT n.lot_id, n.tag_id, n.place_id, u.sign * sum(n.quantity) FILTER (WHERE n.entry_id = v.id) AS done,
                    sum(CASE WHEN n.entry_id = v.id THEN u.sign ELSE 1 END * n.quantity) AS net,
                    json_agg(json_build_object('id', n.entry_id, 'quantity', n.quantity)) FILTER (WHERE n.entry_id NOT IN (v.id, u.id)) AS made
                FROM (
                        SELECT v.id
                        UNION ALL SELECT u.id
                        UNION ALL SELECT r.id FROM entry AS r
                            WHERE r.season_id = in_season AND r.kind IN ('count', 'weighing', 'pack') AND r.reference = u.id::text AND r.reference <> ''
                                AND NOT EXISTS (SELECT FROM redo AS d WHERE d.entry_id = r.id) -- a pair of its own
                    ) AS y (id)
                    CROSS JOIN LATERAL (
                        SELECT m.entry_id, m.lot_id, m.tag_id, m.to_id AS place_id, m.quantity FROM movement AS m WHERE m.entry_id = y.id
                        UNION ALL SELECT m.entry_id, m.lot_id, m.tag_id, m.from_id, -m.quantity FROM movement AS m WHERE m.entry_id = y.id
                    ) AS n
                GROUP BY n.lot_id, n.tag_id, n.place_id
            ) AS x
            JOIN place AS p ON p.id = x.place_id AND p.kept JOIN lot AS l ON l.id = x.lot_id LEFT JOIN tag AS t ON t.id = x.tag_id
        WHERE x.done <> 0 AND x.lot_id = ANY (lot_ids);
    END IF;

    IF in_service <> '' THEN
        doubles := likely_doubles(in_season, in_id, in_service, in_assembly, in_happened_at);
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

    RETURN json_build_object('at', in_happened_at, 'version', (SELECT version FROM plan_version), 'doubles', doubles, 'lots', lots, 'tags', tags,
        'balances', balances, 'moves', moves, 'counts', counts, 'undone', undone, 'crossed', crossed, 'parents', parents, 'packed', packed);
END $$;

-- record_write stores what the ledger made of records: entries (but those that
-- record_begin has claimed), their order of arrival, movements, balances, and the job,
-- count or weighing of each. Every row must find what it names, or nothing is written.
CREATE FUNCTION record_write(
    in_season integer, in_entries json, in_movements json, in_balances json, in_jobs json, in_counts json, in_weighings json,
    in_opened json, in_place_moves json
) RETURNS void LANGUAGE plpgsql SET join_collapse_limit = 1 SET plan_cache_mode = force_generic_plan
    SET enable_hashjoin = off SET enable_mergejoin = off SET enable_seqscan = off SET enable_material = off SET jit = off AS $$
DECLARE
    got    bigint;
    wanted bigint;
    added  bigint;
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

    -- Mostly every balance is there already. New ones are inserted with what they now hold:
    -- an upsert with a negative amount would fail the check though the row holds enough.
    UPDATE balance AS b SET quantity = b.quantity + r.change, used_at = greatest(b.used_at, r.used_at)
    FROM json_to_recordset(in_balances) AS r (lot text, tag text, place text, change bigint, used_at timestamptz)
        JOIN lot AS l ON l.season_id = in_season AND l.code = r.lot
        JOIN place AS p ON p.code = r.place
        LEFT JOIN tag AS t ON t.season_id = in_season AND t.code = nullif(r.tag, '')
    WHERE (r.tag = '' OR t.id IS NOT NULL) AND b.lot_id = l.id AND b.place_id = p.id AND b.tag_id IS NOT DISTINCT FROM t.id;
    GET DIAGNOSTICS got = ROW_COUNT;
    wanted := json_array_length(in_balances);
    IF got <> wanted THEN
        INSERT INTO balance (lot_id, tag_id, place_id, kept, quantity, used_at)
        SELECT l.id, t.id, p.id, p.kept, r.change, r.used_at
        FROM json_to_recordset(in_balances) AS r (lot text, tag text, place text, change bigint, used_at timestamptz)
            JOIN lot AS l ON l.season_id = in_season AND l.code = r.lot
            JOIN place AS p ON p.code = r.place
            LEFT JOIN tag AS t ON t.season_id = in_season AND t.code = nullif(r.tag, '')
        WHERE (r.tag = '' OR t.id IS NOT NULL)
            AND NOT EXISTS (SELECT FROM balance AS b WHERE b.lot_id = l.id AND b.place_id = p.id AND b.tag_id IS NOT DISTINCT FROM t.id);
        GET DIAGNOSTICS added = ROW_COUNT;
        got := got + added;
    END IF;
    IF got <> wanted THEN
        RAISE EXCEPTION 'of % balances % name a lot, tag or place that is not there', wanted, wanted - got USING ERRCODE = 'foreign_key_violation';
    END IF;

    INSERT INTO job (entry_id, season_id, round, service, assembly, arrived_at, used_nothing, happened_at)
    SELECT r.entry_id, in_season, nullif(r.round, ''), r.service, nullif(r.assembly, ''), r.arrived_at, r.used_nothing, r.happened_at
    FROM json_to_recordset(in_jobs) AS r (entry_id uuid, round text, service text, assembly text,
        arrived_at timestamptz, used_nothing boolean, happened_at timestamptz);

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
