-- A database as Roundkit left it at schema version 4: the season of testdata/enduro (one
-- mechanic and one place more) with an evening's records, one of them taken back.
-- Written by pg_dump --rows-per-insert=1000 --no-owner --no-comments; never changed.
SET statement_timeout = 0;
SET lock_timeout = 0;
SET idle_in_transaction_session_timeout = 0;
SET client_encoding = 'UTF8';
SET standard_conforming_strings = on;
SELECT pg_catalog.set_config('search_path', '', false);
SET check_function_bodies = false;
SET xmloption = content;
SET client_min_messages = warning;
SET row_security = off;
CREATE FUNCTION public.record_begin(in_season integer, in_id uuid, in_kind text, in_person text, in_happened_at timestamp with time zone, in_hash bytea, in_undoes uuid, in_reference text, in_due_back_on date, in_notes text, in_parts text[], in_service text, in_assembly text) RETURNS json
    LANGUAGE plpgsql
    AS $$
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
CREATE FUNCTION public.record_write(in_season integer, in_entries json, in_movements json, in_balances json, in_jobs json, in_counts json, in_weighings json, in_opened json, in_place_moves json) RETURNS void
    LANGUAGE plpgsql
    AS $$
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
CREATE FUNCTION public.refuse_change() RETURNS trigger
    LANGUAGE plpgsql
    AS $$
BEGIN
    RAISE EXCEPTION 'the ledger is append-only: % on % is refused; undo the entry instead', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END $$;
SET default_tablespace = '';
SET default_table_access_method = heap;
CREATE TABLE public.allocation (
    supplier text NOT NULL,
    part text NOT NULL,
    free_quantity bigint NOT NULL,
    beyond_percent numeric,
    first_on date,
    last_on date,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT allocation_beyond_percent_check CHECK ((beyond_percent >= (0)::numeric)),
    CONSTRAINT allocation_check CHECK ((first_on <= last_on)),
    CONSTRAINT allocation_free_quantity_check CHECK ((free_quantity >= 0))
);
CREATE TABLE public.alternative (
    part text NOT NULL,
    alternative text NOT NULL,
    preference integer,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT alternative_check CHECK ((alternative <> part)),
    CONSTRAINT alternative_preference_check CHECK ((preference > 0))
);
CREATE TABLE public.assembly (
    code text NOT NULL,
    model text NOT NULL,
    rider text,
    on_bike text,
    damper_oil text,
    hours numeric,
    goes_by_air boolean,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT assembly_check CHECK ((on_bike <> code)),
    CONSTRAINT assembly_hours_check CHECK ((hours >= (0)::numeric))
);
CREATE TABLE public.balance (
    lot_id integer NOT NULL,
    tag_id integer,
    place_id integer NOT NULL,
    kept boolean NOT NULL,
    quantity bigint NOT NULL,
    CONSTRAINT balance_check CHECK (((NOT kept) OR (quantity >= 0)))
);
CREATE TABLE public.budget (
    season_id integer NOT NULL,
    line text NOT NULL,
    round text,
    amount numeric NOT NULL,
    currency text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT budget_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT budget_line_check CHECK ((line <> ''::text))
);
CREATE TABLE public.charge (
    season_id integer NOT NULL,
    code text NOT NULL,
    on_day date NOT NULL,
    line text DEFAULT ''::text NOT NULL,
    round text,
    supplier text,
    amount numeric NOT NULL,
    currency text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT charge_code_check CHECK ((code <> ''::text)),
    CONSTRAINT charge_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text))
);
CREATE TABLE public.clock (
    only_row boolean DEFAULT true NOT NULL,
    ahead_by interval DEFAULT '00:00:00'::interval NOT NULL,
    CONSTRAINT clock_only_row_check CHECK (only_row)
);
CREATE TABLE public.closed_month (
    month date NOT NULL,
    closed_at timestamp with time zone NOT NULL,
    person text,
    CONSTRAINT closed_month_month_check CHECK ((month = date_trunc('month'::text, (month)::timestamp with time zone)))
);
CREATE TABLE public.closure (
    supplier text NOT NULL,
    first_on date NOT NULL,
    last_on date NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT closure_check CHECK ((first_on <= last_on))
);
CREATE TABLE public.collection (
    season_id integer NOT NULL,
    supplier text NOT NULL,
    round text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL
);
CREATE TABLE public.count_line (
    entry_id uuid NOT NULL,
    place_id integer NOT NULL,
    part_id integer NOT NULL,
    lot_id integer,
    tag_id integer,
    counted bigint NOT NULL,
    book bigint,
    CONSTRAINT count_line_counted_check CHECK ((counted >= 0))
);
CREATE TABLE public.entry (
    id uuid NOT NULL,
    season_id integer NOT NULL,
    kind text NOT NULL,
    person text,
    happened_at timestamp with time zone NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    request_hash bytea NOT NULL,
    undoes uuid,
    code text,
    reference text DEFAULT ''::text NOT NULL,
    due_back_on date,
    notes text DEFAULT ''::text NOT NULL,
    pos integer,
    CONSTRAINT entry_check CHECK ((undoes <> id)),
    CONSTRAINT entry_check1 CHECK (((kind = 'undo'::text) <= (undoes IS NOT NULL))),
    CONSTRAINT entry_code_check CHECK ((code <> ''::text)),
    CONSTRAINT entry_kind_check CHECK ((kind = ANY (ARRAY['stock'::text, 'job'::text, 'receipt'::text, 'move'::text, 'pack'::text, 'return'::text, 'count'::text, 'weighing'::text, 'lend'::text, 'lent back'::text, 'open kit'::text, 'tag'::text, 'scrap'::text, 'undo'::text])))
);
CREATE TABLE public.entry_seq (
    seq bigint NOT NULL,
    entry_id uuid NOT NULL
);
ALTER TABLE public.entry_seq ALTER COLUMN seq ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.entry_seq_seq_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.exchange_rate (
    currency text NOT NULL,
    from_on date NOT NULL,
    rate numeric NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT exchange_rate_currency_check CHECK ((currency ~ '^[A-Z]{3}$'::text)),
    CONSTRAINT exchange_rate_rate_check CHECK ((rate > (0)::numeric))
);
CREATE TABLE public.goose_db_version (
    id integer NOT NULL,
    version_id bigint NOT NULL,
    is_applied boolean NOT NULL,
    tstamp timestamp without time zone DEFAULT now() NOT NULL
);
ALTER TABLE public.goose_db_version ALTER COLUMN id ADD GENERATED BY DEFAULT AS IDENTITY (
    SEQUENCE NAME public.goose_db_version_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.job (
    entry_id uuid NOT NULL,
    season_id integer NOT NULL,
    round text,
    service text NOT NULL,
    assembly text,
    arrived_at timestamp with time zone,
    used_nothing boolean DEFAULT false NOT NULL
);
CREATE TABLE public.kit_content (
    kit text NOT NULL,
    part text NOT NULL,
    quantity bigint NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT kit_content_check CHECK ((part <> kit)),
    CONSTRAINT kit_content_quantity_check CHECK ((quantity > 0))
);
CREATE TABLE public.liquid (
    part text NOT NULL,
    label_weight text DEFAULT ''::text NOT NULL,
    cst_40 numeric,
    cst_100 numeric,
    density_g_ml numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT liquid_cst_100_check CHECK ((cst_100 > (0)::numeric)),
    CONSTRAINT liquid_cst_40_check CHECK ((cst_40 > (0)::numeric)),
    CONSTRAINT liquid_density_g_ml_check CHECK ((density_g_ml > (0)::numeric))
);
CREATE TABLE public.lot (
    id integer NOT NULL,
    season_id integer NOT NULL,
    code text NOT NULL,
    part_id integer NOT NULL,
    supplier text,
    order_code text,
    from_lot text,
    received_on date,
    expires_on date,
    quantity bigint,
    currency text DEFAULT ''::text NOT NULL,
    list_value numeric,
    allocation boolean,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT lot_code_check CHECK ((code <> ''::text)),
    CONSTRAINT lot_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT lot_list_value_check CHECK ((list_value >= (0)::numeric)),
    CONSTRAINT lot_quantity_check CHECK ((quantity > 0))
);
CREATE TABLE public.lot_cost (
    id integer NOT NULL,
    lot_id integer NOT NULL,
    kind text NOT NULL,
    amount numeric NOT NULL,
    currency text NOT NULL,
    source text DEFAULT ''::text NOT NULL,
    known_on date NOT NULL,
    CONSTRAINT lot_cost_currency_check CHECK ((currency ~ '^[A-Z]{3}$'::text)),
    CONSTRAINT lot_cost_kind_check CHECK ((kind = ANY (ARRAY['landed'::text, 'goods'::text, 'carriage'::text, 'duty'::text, 'entry fee'::text, 'price correction'::text])))
);
ALTER TABLE public.lot_cost ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.lot_cost_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
ALTER TABLE public.lot ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.lot_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.model (
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    kind text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT model_code_check CHECK ((code <> ''::text)),
    CONSTRAINT model_kind_check CHECK ((kind = ANY (ARRAY['fork'::text, 'shock'::text, 'bike'::text])))
);
CREATE TABLE public.movement (
    entry_id uuid NOT NULL,
    quantity bigint NOT NULL,
    lot_id integer NOT NULL,
    tag_id integer,
    from_id integer NOT NULL,
    to_id integer NOT NULL,
    n smallint NOT NULL,
    notes text,
    CONSTRAINT movement_check CHECK ((to_id <> from_id)),
    CONSTRAINT movement_n_check CHECK ((n > 0)),
    CONSTRAINT movement_notes_check CHECK ((notes <> ''::text)),
    CONSTRAINT movement_quantity_check CHECK ((quantity > 0))
);
CREATE TABLE public.offer (
    supplier text NOT NULL,
    part text NOT NULL,
    preference integer,
    supplier_number text DEFAULT ''::text NOT NULL,
    pack bigint,
    price_per_pack numeric,
    currency text DEFAULT ''::text NOT NULL,
    minimum_packs integer,
    lead_days integer,
    lead_days_95 integer,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT offer_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT offer_lead_days_95_check CHECK ((lead_days_95 >= 0)),
    CONSTRAINT offer_lead_days_check CHECK ((lead_days >= 0)),
    CONSTRAINT offer_minimum_packs_check CHECK ((minimum_packs >= 0)),
    CONSTRAINT offer_pack_check CHECK ((pack > 0)),
    CONSTRAINT offer_preference_check CHECK ((preference > 0)),
    CONSTRAINT offer_price_per_pack_check CHECK ((price_per_pack >= (0)::numeric))
);
CREATE TABLE public.order_line (
    season_id integer NOT NULL,
    order_code text NOT NULL,
    part text NOT NULL,
    packs integer,
    quantity bigint NOT NULL,
    price_per_pack numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT order_line_packs_check CHECK ((packs >= 0)),
    CONSTRAINT order_line_price_per_pack_check CHECK ((price_per_pack >= (0)::numeric)),
    CONSTRAINT order_line_quantity_check CHECK ((quantity > 0))
);
CREATE TABLE public.orders (
    id integer NOT NULL,
    season_id integer NOT NULL,
    code text NOT NULL,
    supplier text NOT NULL,
    placed_on date,
    due_on date,
    ship_to text,
    arrived_on date,
    state text DEFAULT ''::text NOT NULL,
    carriage numeric,
    duty numeric,
    entry_fee numeric,
    currency text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT orders_carriage_check CHECK ((carriage >= (0)::numeric)),
    CONSTRAINT orders_code_check CHECK ((code <> ''::text)),
    CONSTRAINT orders_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT orders_duty_check CHECK ((duty >= (0)::numeric)),
    CONSTRAINT orders_entry_fee_check CHECK ((entry_fee >= (0)::numeric)),
    CONSTRAINT orders_state_check CHECK ((state = ANY (ARRAY[''::text, 'drafted'::text, 'placed'::text, 'confirmed'::text, 'part here'::text, 'here'::text, 'called off'::text])))
);
ALTER TABLE public.orders ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.orders_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.part (
    id integer NOT NULL,
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    kind text NOT NULL,
    unit text NOT NULL,
    carried_in text DEFAULT ''::text NOT NULL,
    contents bigint,
    tare_mg bigint,
    mass_mg bigint,
    packed_ul bigint,
    storage_life_months integer,
    months_after_opening integer,
    reusable boolean,
    serial_numbers boolean,
    comes_home boolean,
    by_air boolean,
    un_number text DEFAULT ''::text NOT NULL,
    home_in_truck text,
    home_in_workshop text,
    truck_minimum bigint,
    customs_heading text DEFAULT ''::text NOT NULL,
    origin text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT part_code_check CHECK ((code <> ''::text)),
    CONSTRAINT part_contents_check CHECK ((contents > 0)),
    CONSTRAINT part_kind_check CHECK ((kind = ANY (ARRAY['seal kit'::text, 'seal'::text, 'hardware'::text, 'bushing'::text, 'spring'::text, 'oil'::text, 'grease'::text, 'cleaner'::text, 'gas'::text, 'tool'::text, 'other'::text]))),
    CONSTRAINT part_mass_mg_check CHECK ((mass_mg >= 0)),
    CONSTRAINT part_months_after_opening_check CHECK ((months_after_opening > 0)),
    CONSTRAINT part_packed_ul_check CHECK ((packed_ul >= 0)),
    CONSTRAINT part_storage_life_months_check CHECK ((storage_life_months > 0)),
    CONSTRAINT part_tare_mg_check CHECK ((tare_mg >= 0)),
    CONSTRAINT part_truck_minimum_check CHECK ((truck_minimum >= 0)),
    CONSTRAINT part_unit_check CHECK ((unit = ANY (ARRAY['pc'::text, 'ml'::text, 'g'::text])))
);
ALTER TABLE public.part ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.part_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.person (
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    role text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT person_code_check CHECK ((code <> ''::text)),
    CONSTRAINT person_role_check CHECK ((role = ANY (ARRAY[''::text, 'mechanic'::text, 'logistics'::text, 'manager'::text])))
);
CREATE TABLE public.place (
    id integer NOT NULL,
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    parent text,
    kind text NOT NULL,
    kept boolean GENERATED ALWAYS AS ((kind <> 'outside'::text)) STORED NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer,
    CONSTRAINT place_check CHECK ((parent <> code)),
    CONSTRAINT place_code_check CHECK ((code <> ''::text)),
    CONSTRAINT place_kind_check CHECK ((kind = ANY (ARRAY['workshop'::text, 'truck'::text, 'pit'::text, 'case'::text, 'drawer'::text, 'lent'::text, 'outside'::text, 'assembly'::text])))
);
ALTER TABLE public.place ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.place_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.place_move (
    entry_id uuid NOT NULL,
    place text NOT NULL,
    parent text,
    CONSTRAINT place_move_check CHECK ((parent <> place))
);
CREATE TABLE public.plan_version (
    only_row boolean DEFAULT true NOT NULL,
    version bigint DEFAULT 1 NOT NULL,
    CONSTRAINT plan_version_only_row_check CHECK (only_row)
);
CREATE TABLE public.planned_jobs (
    season_id integer NOT NULL,
    round text NOT NULL,
    service text NOT NULL,
    assembly text,
    jobs integer NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT planned_jobs_jobs_check CHECK ((jobs >= 0))
);
CREATE TABLE public.price_break (
    supplier text NOT NULL,
    part text NOT NULL,
    from_packs integer NOT NULL,
    price_per_pack numeric NOT NULL,
    applies_to text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT price_break_applies_to_check CHECK ((applies_to = ANY (ARRAY[''::text, 'all packs'::text, 'packs beyond'::text]))),
    CONSTRAINT price_break_from_packs_check CHECK ((from_packs > 0)),
    CONSTRAINT price_break_price_per_pack_check CHECK ((price_per_pack >= (0)::numeric))
);
CREATE TABLE public.rider (
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    kitted_mass_kg numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT rider_code_check CHECK ((code <> ''::text)),
    CONSTRAINT rider_kitted_mass_kg_check CHECK ((kitted_mass_kg > (0)::numeric))
);
CREATE TABLE public.round (
    id integer NOT NULL,
    season_id integer NOT NULL,
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    kind text DEFAULT ''::text NOT NULL,
    trip text,
    first_on date NOT NULL,
    last_on date NOT NULL,
    country text DEFAULT ''::text NOT NULL,
    currency text DEFAULT ''::text NOT NULL,
    steepness integer,
    wet_chance_percent numeric,
    bikes integer,
    riding_days integer,
    rough_factor numeric,
    weather text DEFAULT ''::text NOT NULL,
    weather_seen_on date,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT round_bikes_check CHECK ((bikes >= 0)),
    CONSTRAINT round_check CHECK ((first_on <= last_on)),
    CONSTRAINT round_check1 CHECK ((riding_days <= ((last_on - first_on) + 1))),
    CONSTRAINT round_code_check CHECK ((code <> ''::text)),
    CONSTRAINT round_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT round_kind_check CHECK ((kind = ANY (ARRAY[''::text, 'race'::text, 'camp'::text, 'workshop'::text]))),
    CONSTRAINT round_riding_days_check CHECK ((riding_days >= 0)),
    CONSTRAINT round_rough_factor_check CHECK ((rough_factor >= (0)::numeric)),
    CONSTRAINT round_steepness_check CHECK (((steepness >= 1) AND (steepness <= 5))),
    CONSTRAINT round_weather_check CHECK ((weather = ANY (ARRAY[''::text, 'dry'::text, 'wet'::text]))),
    CONSTRAINT round_wet_chance_percent_check CHECK (((wet_chance_percent >= (0)::numeric) AND (wet_chance_percent <= (100)::numeric)))
);
ALTER TABLE public.round ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.round_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.season (
    id integer NOT NULL,
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    team text DEFAULT ''::text NOT NULL,
    base text DEFAULT ''::text NOT NULL,
    country text DEFAULT ''::text NOT NULL,
    time_zone text NOT NULL,
    currency text NOT NULL,
    first_on date NOT NULL,
    last_on date NOT NULL,
    confidence_percent numeric,
    handling_days integer,
    home_tax_percent numeric,
    spring_tolerance_percent numeric,
    notes text DEFAULT ''::text NOT NULL,
    CONSTRAINT season_check CHECK ((first_on <= last_on)),
    CONSTRAINT season_code_check CHECK ((code <> ''::text)),
    CONSTRAINT season_confidence_percent_check CHECK (((confidence_percent > (0)::numeric) AND (confidence_percent < (100)::numeric))),
    CONSTRAINT season_currency_check CHECK ((currency ~ '^[A-Z]{3}$'::text)),
    CONSTRAINT season_handling_days_check CHECK ((handling_days >= 0)),
    CONSTRAINT season_home_tax_percent_check CHECK ((home_tax_percent >= (0)::numeric)),
    CONSTRAINT season_spring_tolerance_percent_check CHECK ((spring_tolerance_percent >= (0)::numeric))
);
ALTER TABLE public.season ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.season_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.service (
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    model_kind text DEFAULT ''::text NOT NULL,
    minutes integer,
    planned boolean,
    caution text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT service_code_check CHECK ((code <> ''::text)),
    CONSTRAINT service_minutes_check CHECK ((minutes >= 0)),
    CONSTRAINT service_model_kind_check CHECK ((model_kind = ANY (ARRAY[''::text, 'fork'::text, 'shock'::text, 'bike'::text])))
);
CREATE TABLE public.service_line (
    service text NOT NULL,
    part text,
    own_part text DEFAULT ''::text NOT NULL,
    quantity bigint,
    min bigint,
    typical bigint,
    max bigint,
    allowance_percent numeric,
    dry_percent numeric,
    wet_percent numeric,
    beta_dry_a numeric,
    beta_dry_b numeric,
    beta_wet_a numeric,
    beta_wet_b numeric,
    stops_job boolean,
    on_site boolean,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT service_line_allowance_percent_check CHECK ((allowance_percent >= (0)::numeric)),
    CONSTRAINT service_line_beta_dry_a_check CHECK ((beta_dry_a > (0)::numeric)),
    CONSTRAINT service_line_beta_dry_b_check CHECK ((beta_dry_b > (0)::numeric)),
    CONSTRAINT service_line_beta_wet_a_check CHECK ((beta_wet_a > (0)::numeric)),
    CONSTRAINT service_line_beta_wet_b_check CHECK ((beta_wet_b > (0)::numeric)),
    CONSTRAINT service_line_check CHECK (((part IS NULL) <> (own_part = ''::text))),
    CONSTRAINT service_line_check1 CHECK ((((min IS NULL) = (max IS NULL)) AND ((typical IS NULL) OR (min IS NOT NULL)))),
    CONSTRAINT service_line_check2 CHECK (((min <= max) AND (min <= COALESCE(typical, min)) AND (COALESCE(typical, max) <= max))),
    CONSTRAINT service_line_check3 CHECK (((quantity IS NULL) OR (min IS NULL))),
    CONSTRAINT service_line_check4 CHECK (((dry_percent IS NULL) OR (beta_dry_a IS NULL))),
    CONSTRAINT service_line_check5 CHECK ((((beta_dry_a IS NULL) = (beta_dry_b IS NULL)) AND ((beta_wet_a IS NULL) = (beta_wet_b IS NULL)))),
    CONSTRAINT service_line_dry_percent_check CHECK (((dry_percent >= (0)::numeric) AND (dry_percent <= (100)::numeric))),
    CONSTRAINT service_line_min_check CHECK ((min >= 0)),
    CONSTRAINT service_line_own_part_check CHECK ((own_part = ANY (ARRAY[''::text, 'damper oil'::text, 'fork spring'::text, 'shock spring'::text]))),
    CONSTRAINT service_line_quantity_check CHECK ((quantity >= 0)),
    CONSTRAINT service_line_wet_percent_check CHECK (((wet_percent >= (0)::numeric) AND (wet_percent <= (100)::numeric)))
);
CREATE TABLE public.spring (
    part text NOT NULL,
    model text NOT NULL,
    rate numeric NOT NULL,
    rate_unit text NOT NULL,
    breaks_per_day numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT spring_breaks_per_day_check CHECK ((breaks_per_day >= (0)::numeric)),
    CONSTRAINT spring_rate_check CHECK ((rate > (0)::numeric)),
    CONSTRAINT spring_rate_unit_check CHECK ((rate_unit = ANY (ARRAY['lb/in'::text, 'N/mm'::text, 'kgf/mm'::text])))
);
CREATE TABLE public.spring_choice (
    rider text NOT NULL,
    model text NOT NULL,
    spring text NOT NULL,
    steep_1 numeric,
    steep_2 numeric,
    steep_3 numeric,
    steep_4 numeric,
    steep_5 numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT spring_choice_steep_1_check CHECK (((steep_1 >= (0)::numeric) AND (steep_1 <= (100)::numeric))),
    CONSTRAINT spring_choice_steep_2_check CHECK (((steep_2 >= (0)::numeric) AND (steep_2 <= (100)::numeric))),
    CONSTRAINT spring_choice_steep_3_check CHECK (((steep_3 >= (0)::numeric) AND (steep_3 <= (100)::numeric))),
    CONSTRAINT spring_choice_steep_4_check CHECK (((steep_4 >= (0)::numeric) AND (steep_4 <= (100)::numeric))),
    CONSTRAINT spring_choice_steep_5_check CHECK (((steep_5 >= (0)::numeric) AND (steep_5 <= (100)::numeric)))
);
CREATE TABLE public.supplier (
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    country text DEFAULT ''::text NOT NULL,
    currency text DEFAULT ''::text NOT NULL,
    cut_off_day text DEFAULT ''::text NOT NULL,
    cut_off_time text DEFAULT ''::text NOT NULL,
    minimum_order numeric,
    carriage numeric,
    free_from numeric,
    free_from_l numeric,
    entry_fee numeric,
    duty_percent numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT supplier_carriage_check CHECK ((carriage >= (0)::numeric)),
    CONSTRAINT supplier_code_check CHECK ((code <> ''::text)),
    CONSTRAINT supplier_currency_check CHECK ((currency ~ '^([A-Z]{3})?$'::text)),
    CONSTRAINT supplier_duty_percent_check CHECK ((duty_percent >= (0)::numeric)),
    CONSTRAINT supplier_entry_fee_check CHECK ((entry_fee >= (0)::numeric)),
    CONSTRAINT supplier_free_from_check CHECK ((free_from >= (0)::numeric)),
    CONSTRAINT supplier_free_from_l_check CHECK ((free_from_l >= (0)::numeric)),
    CONSTRAINT supplier_minimum_order_check CHECK ((minimum_order >= (0)::numeric))
);
CREATE TABLE public.tag (
    id integer NOT NULL,
    season_id integer NOT NULL,
    code text NOT NULL,
    lot_id integer NOT NULL,
    part_id integer NOT NULL,
    tare_mg bigint,
    contents bigint,
    opened_on date,
    measured_rate numeric,
    serial_number text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT tag_code_check CHECK ((code <> ''::text)),
    CONSTRAINT tag_contents_check CHECK ((contents > 0)),
    CONSTRAINT tag_measured_rate_check CHECK ((measured_rate > (0)::numeric)),
    CONSTRAINT tag_tare_mg_check CHECK ((tare_mg >= 0))
);
ALTER TABLE public.tag ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.tag_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.top_up (
    season_id integer NOT NULL,
    trip text NOT NULL,
    on_day date NOT NULL,
    round text,
    from_place text,
    how text DEFAULT ''::text NOT NULL,
    limit_kg numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT top_up_limit_kg_check CHECK ((limit_kg > (0)::numeric))
);
CREATE TABLE public.travel_case (
    code text NOT NULL,
    limit_kg numeric,
    tare_kg numeric,
    fixed_kg numeric,
    volume_l numeric,
    goes_by text DEFAULT ''::text NOT NULL,
    keep_apart text DEFAULT ''::text NOT NULL,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT travel_case_fixed_kg_check CHECK ((fixed_kg >= (0)::numeric)),
    CONSTRAINT travel_case_goes_by_check CHECK ((goes_by = ANY (ARRAY[''::text, 'air'::text, 'truck'::text]))),
    CONSTRAINT travel_case_keep_apart_check CHECK ((keep_apart = ANY (ARRAY[''::text, 'liquids'::text, 'seals'::text]))),
    CONSTRAINT travel_case_limit_kg_check CHECK ((limit_kg > (0)::numeric)),
    CONSTRAINT travel_case_tare_kg_check CHECK ((tare_kg >= (0)::numeric)),
    CONSTRAINT travel_case_volume_l_check CHECK ((volume_l > (0)::numeric))
);
CREATE TABLE public.trip (
    id integer NOT NULL,
    season_id integer NOT NULL,
    code text NOT NULL,
    name text DEFAULT ''::text NOT NULL,
    goes_by text DEFAULT ''::text NOT NULL,
    truck text,
    pack_by date,
    leaves_on date,
    back_on date,
    customs_list_by date,
    limit_kg numeric,
    limit_l numeric,
    limit_spend numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT trip_check CHECK ((leaves_on <= back_on)),
    CONSTRAINT trip_check1 CHECK ((pack_by <= leaves_on)),
    CONSTRAINT trip_code_check CHECK ((code <> ''::text)),
    CONSTRAINT trip_goes_by_check CHECK ((goes_by = ANY (ARRAY[''::text, 'truck'::text, 'air'::text, 'home'::text]))),
    CONSTRAINT trip_limit_kg_check CHECK ((limit_kg > (0)::numeric)),
    CONSTRAINT trip_limit_l_check CHECK ((limit_l > (0)::numeric)),
    CONSTRAINT trip_limit_spend_check CHECK ((limit_spend >= (0)::numeric))
);
ALTER TABLE public.trip ALTER COLUMN id ADD GENERATED ALWAYS AS IDENTITY (
    SEQUENCE NAME public.trip_id_seq
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1
);
CREATE TABLE public.unplanned_rate (
    service text NOT NULL,
    rate numeric,
    gamma_a numeric,
    gamma_b numeric,
    wet_factor numeric,
    notes text DEFAULT ''::text NOT NULL,
    pos integer NOT NULL,
    CONSTRAINT unplanned_rate_check CHECK (((gamma_a IS NULL) = (gamma_b IS NULL))),
    CONSTRAINT unplanned_rate_check1 CHECK (((rate IS NULL) <> (gamma_a IS NULL))),
    CONSTRAINT unplanned_rate_gamma_a_check CHECK ((gamma_a > (0)::numeric)),
    CONSTRAINT unplanned_rate_gamma_b_check CHECK ((gamma_b > (0)::numeric)),
    CONSTRAINT unplanned_rate_rate_check CHECK ((rate >= (0)::numeric)),
    CONSTRAINT unplanned_rate_wet_factor_check CHECK ((wet_factor >= (0)::numeric))
);
CREATE TABLE public.weighing (
    entry_id uuid NOT NULL,
    tag_id integer NOT NULL,
    gross_mg bigint NOT NULL,
    bench_c numeric,
    book_ul bigint,
    CONSTRAINT weighing_gross_mg_check CHECK ((gross_mg >= 0))
);
INSERT INTO public.assembly VALUES
	('AK1', 'ENB', 'AK', NULL, NULL, 0, NULL, '', 0),
	('MW1', 'ENB', 'MW', NULL, NULL, 0, NULL, '', 1),
	('FA', 'EF48', 'AK', 'AK1', 'OIL-5W', 0, NULL, '', 2),
	('FM', 'EF48', 'MW', 'MW1', 'OIL-7W', 0, NULL, '', 3),
	('SA', 'ES46', 'AK', 'AK1', NULL, 0, NULL, '', 4),
	('SM', 'ES46', 'MW', 'MW1', NULL, 0, NULL, '', 5);
INSERT INTO public.balance VALUES
	(2, NULL, 5, false, -4),
	(2, NULL, 14, true, 4),
	(1, NULL, 5, false, -3),
	(5, NULL, 5, false, -2000000),
	(6, NULL, 5, false, -1000000),
	(7, NULL, 5, false, -500000),
	(7, NULL, 14, true, 500000),
	(4, NULL, 5, false, -10),
	(8, NULL, 10, true, 1),
	(8, NULL, 5, false, -1),
	(9, NULL, 11, true, 1),
	(9, NULL, 5, false, -1),
	(3, NULL, 5, false, -1),
	(3, NULL, 14, true, 1),
	(1, NULL, 14, true, 0),
	(10, NULL, 1, false, -6),
	(5, NULL, 14, true, 1000000),
	(6, NULL, 14, true, 0),
	(4, NULL, 14, true, 2),
	(10, NULL, 2, false, 2),
	(5, NULL, 2, false, 410000),
	(5, NULL, 17, true, 590000),
	(6, NULL, 2, false, 410000),
	(1, NULL, 2, false, 4),
	(6, NULL, 17, true, 590000),
	(10, NULL, 4, false, 1),
	(1, NULL, 16, true, 1),
	(1, NULL, 4, false, -2),
	(4, NULL, 4, false, 3),
	(10, NULL, 20, true, 2),
	(10, NULL, 16, true, 1),
	(7, NULL, 4, false, 0),
	(7, NULL, 2, false, 0),
	(3, NULL, 4, false, 0),
	(3, NULL, 2, false, 0),
	(4, NULL, 3, false, 1),
	(4, NULL, 16, true, 4);
INSERT INTO public.clock VALUES
	(true, '461 days 02:01:40.425079');
INSERT INTO public.count_line VALUES
	('a0c09d99-c447-54b5-b66a-a98cea888d42', 10, 9, 8, NULL, 1, NULL),
	('faf5304c-44cc-5851-b4e7-8e96b7da9883', 11, 10, 9, NULL, 1, NULL),
	('c0a1c741-eb4f-5123-912b-f20ef9c705ca', 14, 7, 7, NULL, 500000, NULL),
	('605f2579-e1c0-5dd4-9011-cc5a3f70515f', 14, 6, 6, NULL, 1000000, NULL),
	('cb906b9e-5137-562a-a5b0-89b9898b5d4d', 14, 5, 5, NULL, 2000000, NULL),
	('74040497-7830-5a87-b50d-7aee29fb2317', 14, 4, 4, NULL, 10, NULL),
	('2ba9f45f-cddd-5c1f-abb9-a645d9a18ee2', 14, 3, 3, NULL, 1, NULL),
	('d52b2771-2f15-5132-aefc-005d996237ac', 14, 2, 2, NULL, 4, NULL),
	('d4bb147b-1b44-5f92-b23b-619953d43e90', 14, 1, 1, NULL, 3, NULL),
	('01a214b7-86dc-7eea-8b79-e34e29980c4f', 16, 2, NULL, NULL, 3, 4),
	('01a214b7-8779-721f-8ec2-6ea145412302', 16, 1, NULL, NULL, 1, 0),
	('01a214b7-87a3-7d05-a46e-48a0c1ec7796', 16, 4, NULL, NULL, 5, 8);
INSERT INTO public.entry VALUES
	('d4bb147b-1b44-5f92-b23b-619953d43e90', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541557+00', '\x0c43de417d18161a84ba781c12253f3829640c128241745932263d774bfe4b30', NULL, NULL, '', NULL, '', 0),
	('d52b2771-2f15-5132-aefc-005d996237ac', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541782+00', '\x51e3563b298f591bc24f17f9dc8826b6f3afe9fbfc47720400565929a4b120c6', NULL, NULL, '', NULL, '', 1),
	('2ba9f45f-cddd-5c1f-abb9-a645d9a18ee2', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541787+00', '\x852b75125e166c06b790bc6808a9e7b79f2de39902f3b1c60e152000be44dcf8', NULL, NULL, '', NULL, '', 2),
	('74040497-7830-5a87-b50d-7aee29fb2317', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541794+00', '\x05fd585bbf630d3acd4059bfd5eedb96d79f2aad7558d210ddd5364123044fb2', NULL, NULL, '', NULL, '', 3),
	('cb906b9e-5137-562a-a5b0-89b9898b5d4d', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541797+00', '\xa8f86f3fa0f5fb7eb42c6f10a02ed6e464270391dd5bed0e7a7ffaca61b2adf0', NULL, NULL, '', NULL, '', 4),
	('605f2579-e1c0-5dd4-9011-cc5a3f70515f', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541799+00', '\x7a115db62c8cb44a13616d7495761489c2335ccaf77bfa6ffd8ac1f6763733fa', NULL, NULL, '', NULL, '', 5),
	('c0a1c741-eb4f-5123-912b-f20ef9c705ca', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541801+00', '\x0275a95bac763c6687a00a177d92b55f6f72b04b090d504fbfb038c71089b258', NULL, NULL, '', NULL, '', 6),
	('a0c09d99-c447-54b5-b66a-a98cea888d42', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541804+00', '\xd2d90806a1d54a99925240ad063774e9cb199904b09efe0eb75fa7aa150647b1', NULL, NULL, '', NULL, '', 7),
	('faf5304c-44cc-5851-b4e7-8e96b7da9883', 1, 'stock', NULL, '2028-03-01 00:00:00+00', '2026-11-25 21:58:19.541806+00', '\x4c70c88443f0dc4e4cf363c3476db1609a89b257a35d3e228c1f93b9ee49017c', NULL, NULL, '', NULL, '', 8),
	('01a214b7-7ec8-7818-9fc0-0cd77c54afdd', 1, 'move', 'mech', '2028-03-01 00:00:00.174076+00', '2028-03-01 00:00:00.180222+00', '\x7aa88b0e364cfdb6c7b36bc0e35fbf9f442066a312f9e27d26cad85e1610ad33', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-7fa1-782a-b7b2-7229f2bac233', 1, 'receipt', 'mech', '2028-03-01 00:00:00.482555+00', '2028-03-01 00:00:00.48413+00', '\x60258301aa74d0174ddb78ceedd468aa9af9aaa04035e67025fc669ed783f6fc', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-80db-76e9-8cb3-ddb21f7bc2d8', 1, 'move', 'mech', '2028-03-01 00:00:00.690669+00', '2028-03-01 00:00:00.694421+00', '\x7d02e6336e331d5bcab7399f58c522739c30d42e7882ba74077d5844b778377e', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-81b6-7d65-9b5b-09c11a17a489', 1, 'move', 'mech', '2028-03-01 00:00:00.910858+00', '2028-03-01 00:00:00.949417+00', '\x472756ceada4442c88c6419b427fbe3814dafaba3f56cb02c3bbf76e9145abe8', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-8321-7226-909a-33edeb5dd290', 1, 'move', 'mech', '2028-03-01 00:00:01.457286+00', '2028-03-01 00:00:01.459089+00', '\x9bbb0979ab2e088d174346c546e75e81dc99d0879edf104f2c5b8c7acb8612c9', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-84a5-758f-a854-26d841413474', 1, 'job', 'mech', '2028-03-01 00:00:01.741787+00', '2028-03-01 00:00:01.745081+00', '\xf5175d7132250f4a58de2828ac8f765ddc76095c4c7d6910087c00aa17cbce55', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-85ee-7868-8640-c604cab92fe3', 1, 'job', 'mech', '2028-03-01 00:00:02.004747+00', '2028-03-01 00:00:02.006663+00', '\x16f36c77f0b0c4b5d4994e4b74e24992624c3db67260d9fba4caba5bc1535651', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-86dc-7eea-8b79-e34e29980c4f', 1, 'count', 'mech', '2028-03-01 00:00:02.199953+00', '2028-03-01 00:00:02.201542+00', '\xbf51118cefe3441a589b6ffa5a6787d0f03d7f4f2b12f4ed1c3fedd3ea3a0579', NULL, NULL, '', NULL, '', NULL),
	('4074c854-f4c3-52ba-8742-20d8a09e1d1f', 1, 'count', 'mech', '2028-03-01 00:00:02.199954+00', '2028-03-01 00:00:02.210743+00', '\x71338173417a582a0fcad57c1c1fbe32fc52362c53c6ca7986a62dfb1c81550c', NULL, NULL, '01a214b7-86dc-7eea-8b79-e34e29980c4f', NULL, '', NULL),
	('01a214b7-8779-721f-8ec2-6ea145412302', 1, 'count', 'mech', '2028-03-01 00:00:02.249251+00', '2028-03-01 00:00:02.249468+00', '\x93ac3f2db69d6b4197efeefef6a8cb069c75140490a254661753dcd43b9d551e', NULL, NULL, '', NULL, '', NULL),
	('e0f62b3d-b39e-5200-968a-131e35285bb2', 1, 'count', 'mech', '2028-03-01 00:00:02.249252+00', '2028-03-01 00:00:02.257924+00', '\x68660e657cc3290e62636efedad891836636adc57a4e3384a6b18d608edfe4d4', NULL, NULL, '01a214b7-8779-721f-8ec2-6ea145412302', NULL, '', NULL),
	('01a214b7-87a3-7d05-a46e-48a0c1ec7796', 1, 'count', 'mech', '2028-03-01 00:00:02.302445+00', '2028-03-01 00:00:02.302677+00', '\xd336df83c6b97220b46cfee625aca67fff7f4fccdc0e5fdb030b2ba62e60ad37', NULL, NULL, '', NULL, '', NULL),
	('e1e58d3d-f028-5571-8d79-01ab20ebfd63', 1, 'count', 'mech', '2028-03-01 00:00:02.302445+00', '2028-03-01 00:00:02.308037+00', '\x32892db09ca2d5f24576b68f4bb2d7797ead5a0ae6aa57d58dd07da7565f9b06', NULL, NULL, '01a214b7-87a3-7d05-a46e-48a0c1ec7796', NULL, '', NULL),
	('01a214b7-87da-76ad-bd4e-cf39ec91b68a', 1, 'lend', 'mech', '2028-03-01 00:00:02.589596+00', '2028-03-01 00:00:02.594557+00', '\x30229f43bb16d4a989652ee4766c47ddef95ebae3f18783443c52b45d17e6624', NULL, NULL, '', '2028-04-16', '', NULL),
	('01a214b7-8954-766d-aeb6-3b197e4bbaa1', 1, 'job', 'mech', '2028-03-01 00:00:02.88244+00', '2028-03-01 00:00:02.884737+00', '\x66d7b8a33c56455ff5d66759ab4126906ce85360acb76208ec898ba485d9a779', NULL, NULL, '', NULL, '', NULL),
	('01a214b7-8a7a-77e2-ab71-1474da164551', 1, 'undo', 'mech', '2028-03-01 00:00:03.285124+00', '2028-03-01 00:00:03.293597+00', '\x18de2e60630658bb4d56bf1b878026346ee1a96914e7c5b80ee7e41c924a604d', '01a214b7-8954-766d-aeb6-3b197e4bbaa1', NULL, '', NULL, '', NULL),
	('01a214b7-8be0-7ad5-bc34-abd62ec1c23d', 1, 'scrap', 'mech', '2028-03-01 00:00:03.488216+00', '2028-03-01 00:00:03.48976+00', '\x8d9b0a3f6ab363416966be782aa2931b5461af8a65cd7a9906a40b59e7c571fc', NULL, NULL, '', NULL, 'cut when fitted', NULL);
INSERT INTO public.entry_seq OVERRIDING SYSTEM VALUE VALUES
	(1, 'd4bb147b-1b44-5f92-b23b-619953d43e90'),
	(2, 'd52b2771-2f15-5132-aefc-005d996237ac'),
	(3, '2ba9f45f-cddd-5c1f-abb9-a645d9a18ee2'),
	(4, '74040497-7830-5a87-b50d-7aee29fb2317'),
	(5, 'cb906b9e-5137-562a-a5b0-89b9898b5d4d'),
	(6, '605f2579-e1c0-5dd4-9011-cc5a3f70515f'),
	(7, 'c0a1c741-eb4f-5123-912b-f20ef9c705ca'),
	(8, 'a0c09d99-c447-54b5-b66a-a98cea888d42'),
	(9, 'faf5304c-44cc-5851-b4e7-8e96b7da9883'),
	(10, '01a214b7-7ec8-7818-9fc0-0cd77c54afdd'),
	(11, '01a214b7-7fa1-782a-b7b2-7229f2bac233'),
	(12, '01a214b7-80db-76e9-8cb3-ddb21f7bc2d8'),
	(13, '01a214b7-81b6-7d65-9b5b-09c11a17a489'),
	(14, '01a214b7-8321-7226-909a-33edeb5dd290'),
	(15, '01a214b7-84a5-758f-a854-26d841413474'),
	(16, '01a214b7-85ee-7868-8640-c604cab92fe3'),
	(17, '01a214b7-86dc-7eea-8b79-e34e29980c4f'),
	(18, '4074c854-f4c3-52ba-8742-20d8a09e1d1f'),
	(19, '01a214b7-8779-721f-8ec2-6ea145412302'),
	(20, 'e0f62b3d-b39e-5200-968a-131e35285bb2'),
	(21, '01a214b7-87a3-7d05-a46e-48a0c1ec7796'),
	(22, 'e1e58d3d-f028-5571-8d79-01ab20ebfd63'),
	(23, '01a214b7-87da-76ad-bd4e-cf39ec91b68a'),
	(24, '01a214b7-8954-766d-aeb6-3b197e4bbaa1'),
	(25, '01a214b7-8a7a-77e2-ab71-1474da164551'),
	(26, '01a214b7-8be0-7ad5-bc34-abd62ec1c23d');
INSERT INTO public.exchange_rate VALUES
	('EUR', '2028-01-01', 0.86, '', 0);
INSERT INTO public.goose_db_version VALUES
	(1, 0, true, '2026-11-25 21:58:18.192085'),
	(2, 1, true, '2026-11-25 21:58:18.32613'),
	(3, 2, true, '2026-11-25 21:58:18.488601'),
	(4, 3, true, '2026-11-25 21:58:18.875652'),
	(5, 4, true, '2026-11-25 21:58:19.302847');
INSERT INTO public.job VALUES
	('01a214b7-84a5-758f-a854-26d841413474', 1, 'GOR', 'RBF', 'FA', NULL, false),
	('01a214b7-85ee-7868-8640-c604cab92fe3', 1, 'GOR', 'RBF', 'FM', NULL, false),
	('01a214b7-8954-766d-aeb6-3b197e4bbaa1', 1, 'GOR', 'RBS', 'SA', NULL, false);
INSERT INTO public.liquid VALUES
	('OIL-5W', '5', 15.2, 4.1, 0.84, '', 0),
	('OIL-7W', '7.5', 26.1, 5.6, 0.85, '', 1),
	('OIL-SH', 'light', 12.1, 3.9, 0.83, '', 2);
INSERT INTO public.lot OVERRIDING SYSTEM VALUE VALUES
	(1, 1, 'opening FSK-48', 1, 'NSH', NULL, NULL, '2028-03-01', NULL, 3, 'EUR', NULL, NULL, '', 0),
	(2, 1, 'opening DUST-48', 2, 'NSH', NULL, NULL, '2028-03-01', NULL, 4, 'EUR', NULL, NULL, '', 1),
	(3, 1, 'opening SSK-46', 3, 'NSH', NULL, NULL, '2028-03-01', NULL, 1, 'EUR', NULL, NULL, '', 2),
	(4, 1, 'opening ORG-FC', 4, NULL, NULL, NULL, '2028-03-01', NULL, 10, '', NULL, NULL, '', 3),
	(5, 1, 'opening OIL-5W', 5, 'TWO', NULL, NULL, '2028-03-01', NULL, 2000000, 'GBP', NULL, NULL, '', 4),
	(6, 1, 'opening OIL-7W', 6, 'TWO', NULL, NULL, '2028-03-01', NULL, 1000000, 'GBP', NULL, NULL, '', 5),
	(7, 1, 'opening OIL-SH', 7, 'TWO', NULL, NULL, '2028-03-01', NULL, 500000, 'GBP', NULL, NULL, '', 6),
	(8, 1, 'opening SP-44', 9, NULL, NULL, NULL, '2028-03-01', NULL, 1, '', NULL, NULL, '', 7),
	(9, 1, 'opening SP-46', 10, NULL, NULL, NULL, '2028-03-01', NULL, 1, '', NULL, NULL, '', 8),
	(10, 1, 'lot 01a214b7-7fa1-782a-b7b2-7229f2bac233', 2, 'NSH', NULL, NULL, '2028-03-01', NULL, 6, 'GBP', NULL, NULL, '', 1073741824);
INSERT INTO public.lot_cost OVERRIDING SYSTEM VALUE VALUES
	(1, 1, 'landed', 27.75, 'EUR', 'workbook', '2028-03-01'),
	(2, 2, 'landed', 12.8, 'EUR', 'workbook', '2028-03-01'),
	(3, 3, 'landed', 21, 'EUR', 'workbook', '2028-03-01'),
	(4, 5, 'landed', 28.4, 'GBP', 'workbook', '2028-03-01'),
	(5, 6, 'landed', 14.9, 'GBP', 'workbook', '2028-03-01'),
	(6, 7, 'landed', 11.8, 'GBP', 'workbook', '2028-03-01'),
	(7, 10, 'landed', 24.6, 'GBP', 'workbook', '2028-03-01');
INSERT INTO public.model VALUES
	('EF48', '48 mm closed-cartridge fork', 'fork', '', 0),
	('ES46', 'linkage shock 46 mm', 'shock', '', 1),
	('ENB', 'enduro bike', 'bike', '', 2);
INSERT INTO public.movement VALUES
	('d4bb147b-1b44-5f92-b23b-619953d43e90', 3, 1, NULL, 5, 14, 1, NULL),
	('d52b2771-2f15-5132-aefc-005d996237ac', 4, 2, NULL, 5, 14, 1, NULL),
	('2ba9f45f-cddd-5c1f-abb9-a645d9a18ee2', 1, 3, NULL, 5, 14, 1, NULL),
	('74040497-7830-5a87-b50d-7aee29fb2317', 10, 4, NULL, 5, 14, 1, NULL),
	('cb906b9e-5137-562a-a5b0-89b9898b5d4d', 2000000, 5, NULL, 5, 14, 1, NULL),
	('605f2579-e1c0-5dd4-9011-cc5a3f70515f', 1000000, 6, NULL, 5, 14, 1, NULL),
	('c0a1c741-eb4f-5123-912b-f20ef9c705ca', 500000, 7, NULL, 5, 14, 1, NULL),
	('a0c09d99-c447-54b5-b66a-a98cea888d42', 1, 8, NULL, 5, 10, 1, NULL),
	('faf5304c-44cc-5851-b4e7-8e96b7da9883', 1, 9, NULL, 5, 11, 1, NULL),
	('01a214b7-7ec8-7818-9fc0-0cd77c54afdd', 3, 1, NULL, 14, 16, 1, NULL),
	('01a214b7-7fa1-782a-b7b2-7229f2bac233', 6, 10, NULL, 1, 16, 1, NULL),
	('01a214b7-80db-76e9-8cb3-ddb21f7bc2d8', 1000000, 5, NULL, 14, 17, 1, NULL),
	('01a214b7-81b6-7d65-9b5b-09c11a17a489', 1000000, 6, NULL, 14, 17, 1, NULL),
	('01a214b7-8321-7226-909a-33edeb5dd290', 8, 4, NULL, 14, 16, 1, NULL),
	('01a214b7-84a5-758f-a854-26d841413474', 2, 1, NULL, 16, 2, 1, NULL),
	('01a214b7-84a5-758f-a854-26d841413474', 410000, 5, NULL, 17, 2, 2, NULL),
	('01a214b7-84a5-758f-a854-26d841413474', 2, 10, NULL, 16, 2, 3, NULL),
	('01a214b7-85ee-7868-8640-c604cab92fe3', 1, 1, NULL, 16, 2, 1, NULL),
	('01a214b7-85ee-7868-8640-c604cab92fe3', 1, 1, NULL, 4, 2, 2, NULL),
	('01a214b7-85ee-7868-8640-c604cab92fe3', 410000, 6, NULL, 17, 2, 3, NULL),
	('4074c854-f4c3-52ba-8742-20d8a09e1d1f', 1, 10, NULL, 16, 4, 1, NULL),
	('e0f62b3d-b39e-5200-968a-131e35285bb2', 1, 1, NULL, 4, 16, 1, NULL),
	('e1e58d3d-f028-5571-8d79-01ab20ebfd63', 3, 4, NULL, 16, 4, 1, NULL),
	('01a214b7-87da-76ad-bd4e-cf39ec91b68a', 2, 10, NULL, 16, 20, 1, NULL),
	('01a214b7-8954-766d-aeb6-3b197e4bbaa1', 1, 3, NULL, 4, 2, 1, NULL),
	('01a214b7-8954-766d-aeb6-3b197e4bbaa1', 160000, 7, NULL, 4, 2, 2, NULL),
	('01a214b7-8a7a-77e2-ab71-1474da164551', 1, 3, NULL, 2, 4, 1, NULL),
	('01a214b7-8a7a-77e2-ab71-1474da164551', 160000, 7, NULL, 2, 4, 2, NULL),
	('01a214b7-8be0-7ad5-bc34-abd62ec1c23d', 1, 4, NULL, 16, 3, 1, NULL);
INSERT INTO public.offer VALUES
	('NSH', 'FSK-48', 1, '0048-2', 2, 18.5, 'EUR', 1, 8, 12, '', 0),
	('NSH', 'DUST-48', 1, '0048-9', 2, 6.4, 'EUR', 1, 8, 12, '', 1),
	('NSH', 'SSK-46', 1, '0046-1', 1, 21, 'EUR', 1, 8, 12, '', 2),
	('TWO', 'OIL-5W', 1, 'T5-1', 1000000, 14.2, 'GBP', 1, 3, 5, '', 3),
	('TWO', 'OIL-7W', 1, 'T7-1', 1000000, 14.9, 'GBP', 1, 3, 5, '', 4),
	('TWO', 'OIL-SH', 1, 'TS-05', 500000, 11.8, 'GBP', 1, 3, 5, '', 5);
INSERT INTO public.part OVERRIDING SYSTEM VALUE VALUES
	(1, 'FSK-48', 'fork seal kit 48 mm', 'seal kit', 'pc', 'piece', 1, NULL, 31000, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 0),
	(2, 'DUST-48', 'dust wiper 48 mm', 'seal', 'pc', 'piece', 1, NULL, 10000, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 1),
	(3, 'SSK-46', 'shock seal kit 46 mm', 'seal kit', 'pc', 'piece', 1, NULL, 24000, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 2),
	(4, 'ORG-FC', 'fork cap o-ring', 'seal', 'pc', 'piece', 1, NULL, 1000, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 3),
	(5, 'OIL-5W', 'light fork oil', 'oil', 'ml', '1 l bottle', 1000000, 90000, NULL, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 4),
	(6, 'OIL-7W', 'fork oil, 7.5 on the label', 'oil', 'ml', '1 l bottle', 1000000, 90000, NULL, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 5),
	(7, 'OIL-SH', 'shock oil', 'oil', 'ml', '500 ml bottle', 500000, 60000, NULL, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 6),
	(8, 'NIT-10', 'nitrogen cylinder 10 l', 'gas', 'pc', 'cylinder', 1, NULL, 17000000, NULL, NULL, NULL, false, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 7),
	(9, 'SP-44', 'fork spring 44 lb/in', 'spring', 'pc', 'piece', 1, NULL, 410000, NULL, NULL, NULL, true, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 8),
	(10, 'SP-46', 'fork spring 46 lb/in', 'spring', 'pc', 'piece', 1, NULL, 422000, NULL, NULL, NULL, true, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 9),
	(11, 'SP-48', 'fork spring 48 lb/in', 'spring', 'pc', 'piece', 1, NULL, 434000, NULL, NULL, NULL, true, NULL, NULL, NULL, '', NULL, NULL, NULL, '', '', '', 10);
INSERT INTO public.person VALUES
	('mech', 'Mech One', 'mechanic', '', 0);
INSERT INTO public.place OVERRIDING SYSTEM VALUE VALUES
	(3, 'scrap', '', NULL, 'outside', DEFAULT, '', NULL),
	(4, 'count difference', '', NULL, 'outside', DEFAULT, '', NULL),
	(5, 'opening', '', NULL, 'outside', DEFAULT, '', NULL),
	(6, 'opened kit', '', NULL, 'outside', DEFAULT, '', NULL),
	(7, 'relabelled', '', NULL, 'outside', DEFAULT, '', NULL),
	(8, 'AK1', '', NULL, 'assembly', DEFAULT, '', NULL),
	(9, 'MW1', '', NULL, 'assembly', DEFAULT, '', NULL),
	(10, 'FA', '', NULL, 'assembly', DEFAULT, '', NULL),
	(11, 'FM', '', NULL, 'assembly', DEFAULT, '', NULL),
	(12, 'SA', '', NULL, 'assembly', DEFAULT, '', NULL),
	(13, 'SM', '', NULL, 'assembly', DEFAULT, '', NULL),
	(14, 'shop', 'workshop, Tarnwick', NULL, 'workshop', DEFAULT, '', 0),
	(15, 'van', 'race van', NULL, 'truck', DEFAULT, '', 1),
	(16, 'V1', 'seals', 'van', 'drawer', DEFAULT, '', 2),
	(17, 'V2', 'oils', 'van', 'drawer', DEFAULT, '', 3),
	(1, 'supplier', '', NULL, 'outside', DEFAULT, '', 4),
	(2, 'used', '', NULL, 'outside', DEFAULT, '', 5),
	(20, 'HERON', 'Heron team', NULL, 'lent', DEFAULT, '', 6);
INSERT INTO public.plan_version VALUES
	(true, 2);
INSERT INTO public.planned_jobs VALUES
	(1, 'GOR', 'RBF', 'FA', 1, '', 0),
	(1, 'GOR', 'RBF', 'FM', 1, '', 1),
	(1, 'MIR', 'RBF', 'FA', 1, '', 2),
	(1, 'MIR', 'RBF', 'FM', 1, '', 3),
	(1, 'MIR', 'RBS', NULL, 1, '', 4),
	(1, 'GOR', 'SWS', NULL, 2, '', 5);
INSERT INTO public.rider VALUES
	('AK', 'Anneke Korvald', 72, '', 0),
	('MW', 'Milo Wrenfield', 88, '', 1);
INSERT INTO public.round OVERRIDING SYSTEM VALUE VALUES
	(1, 1, 'GOR', 'Gorsedale', 'race', 'SPRING', '2028-04-07', '2028-04-09', 'GB', 'GBP', 2, 50, 2, 2, NULL, '', NULL, '', 0),
	(2, 1, 'MIR', 'Mirefoot', 'race', 'SPRING', '2028-04-14', '2028-04-16', 'FR', 'EUR', 3, 20, 2, 2, NULL, '', NULL, '', 1);
INSERT INTO public.season OVERRIDING SYSTEM VALUE VALUES
	(1, 'E28', 'Enduro season 2028', 'Larkspur Enduro', 'Tarnwick', 'GB', 'Europe/London', 'GBP', '2028-03-01', '2028-10-31', 90, 1, 20, 2, 'invented team and season');
INSERT INTO public.service VALUES
	('RBF', 'fork rebuild', 'fork', 90, true, 'spring under load: follow the maker''s manual', '', 0),
	('RBS', 'shock rebuild', 'shock', 80, true, 'gas under pressure: let it out first', '', 1),
	('SWS', 'fork spring swap', 'fork', 15, true, 'spring under load: follow the maker''s manual', '', 2);
INSERT INTO public.service_line VALUES
	('RBF', 'FSK-48', '', 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 0),
	('RBF', NULL, 'damper oil', NULL, 400000, 410000, 420000, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 1),
	('RBF', 'DUST-48', '', 2, NULL, NULL, NULL, NULL, 20, 60, NULL, NULL, NULL, NULL, NULL, NULL, '', 2),
	('RBS', 'SSK-46', '', 1, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 3),
	('RBS', 'OIL-SH', '', NULL, 150000, NULL, 170000, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 4),
	('RBS', 'NIT-10', '', 1, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, true, '', 5),
	('SWS', NULL, 'fork spring', 1, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 6),
	('SWS', 'ORG-FC', '', 1, NULL, NULL, NULL, NULL, 10, NULL, NULL, NULL, NULL, NULL, false, NULL, '', 7);
INSERT INTO public.spring VALUES
	('SP-44', 'EF48', 44, 'lb/in', NULL, '', 0),
	('SP-46', 'EF48', 46, 'lb/in', NULL, '', 1),
	('SP-48', 'EF48', 48, 'lb/in', NULL, '', 2);
INSERT INTO public.spring_choice VALUES
	('AK', 'EF48', 'SP-44', 100, 100, 100, 100, 100, '', 0),
	('MW', 'EF48', 'SP-46', 100, 70, 70, 40, 40, '', 1),
	('MW', 'EF48', 'SP-48', 0, 30, 30, 60, 60, '', 2);
INSERT INTO public.supplier VALUES
	('NSH', 'Norrvik Seal House', 'SE', 'EUR', '', '', NULL, 12, NULL, NULL, NULL, NULL, '', 0),
	('TWO', 'Tarnwick Oils', 'GB', 'GBP', '', '', NULL, 5.5, NULL, NULL, NULL, NULL, '', 1);
INSERT INTO public.trip OVERRIDING SYSTEM VALUE VALUES
	(1, 1, 'SPRING', 'spring pair', 'truck', 'van', '2028-04-05', '2028-04-06', '2028-04-18', NULL, NULL, NULL, NULL, '', 0);
SELECT pg_catalog.setval('public.entry_seq_seq_seq', 26, true);
SELECT pg_catalog.setval('public.goose_db_version_id_seq', 5, true);
SELECT pg_catalog.setval('public.lot_cost_id_seq', 7, true);
SELECT pg_catalog.setval('public.lot_id_seq', 10, true);
SELECT pg_catalog.setval('public.orders_id_seq', 1, false);
SELECT pg_catalog.setval('public.part_id_seq', 11, true);
SELECT pg_catalog.setval('public.place_id_seq', 20, true);
SELECT pg_catalog.setval('public.round_id_seq', 2, true);
SELECT pg_catalog.setval('public.season_id_seq', 1, true);
SELECT pg_catalog.setval('public.tag_id_seq', 1, false);
SELECT pg_catalog.setval('public.trip_id_seq', 1, true);
ALTER TABLE ONLY public.allocation
    ADD CONSTRAINT allocation_pkey PRIMARY KEY (supplier, part);
ALTER TABLE ONLY public.alternative
    ADD CONSTRAINT alternative_pkey PRIMARY KEY (part, alternative);
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.balance
    ADD CONSTRAINT balance_lot_id_tag_id_place_id_key UNIQUE NULLS NOT DISTINCT (lot_id, tag_id, place_id);
ALTER TABLE ONLY public.budget
    ADD CONSTRAINT budget_season_id_line_round_key UNIQUE NULLS NOT DISTINCT (season_id, line, round);
ALTER TABLE ONLY public.charge
    ADD CONSTRAINT charge_pkey PRIMARY KEY (season_id, code);
ALTER TABLE ONLY public.clock
    ADD CONSTRAINT clock_pkey PRIMARY KEY (only_row);
ALTER TABLE ONLY public.closed_month
    ADD CONSTRAINT closed_month_pkey PRIMARY KEY (month);
ALTER TABLE ONLY public.closure
    ADD CONSTRAINT closure_pkey PRIMARY KEY (supplier, first_on);
ALTER TABLE ONLY public.collection
    ADD CONSTRAINT collection_pkey PRIMARY KEY (season_id, supplier, round);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT entry_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.entry_seq
    ADD CONSTRAINT entry_seq_entry_id_key UNIQUE (entry_id);
ALTER TABLE ONLY public.entry_seq
    ADD CONSTRAINT entry_seq_pkey PRIMARY KEY (seq);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT entry_undoes_key UNIQUE (undoes);
ALTER TABLE ONLY public.exchange_rate
    ADD CONSTRAINT exchange_rate_pkey PRIMARY KEY (currency, from_on);
ALTER TABLE ONLY public.goose_db_version
    ADD CONSTRAINT goose_db_version_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.job
    ADD CONSTRAINT job_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.kit_content
    ADD CONSTRAINT kit_content_pkey PRIMARY KEY (kit, part);
ALTER TABLE ONLY public.liquid
    ADD CONSTRAINT liquid_pkey PRIMARY KEY (part);
ALTER TABLE ONLY public.lot_cost
    ADD CONSTRAINT lot_cost_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_id_part_id_key UNIQUE (id, part_id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_season_id_code_key UNIQUE (season_id, code);
ALTER TABLE ONLY public.model
    ADD CONSTRAINT model_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_pkey PRIMARY KEY (entry_id, n);
ALTER TABLE ONLY public.offer
    ADD CONSTRAINT offer_pkey PRIMARY KEY (supplier, part);
ALTER TABLE ONLY public.order_line
    ADD CONSTRAINT order_line_pkey PRIMARY KEY (season_id, order_code, part);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_season_id_code_key UNIQUE (season_id, code);
ALTER TABLE ONLY public.part
    ADD CONSTRAINT part_code_key UNIQUE (code);
ALTER TABLE ONLY public.part
    ADD CONSTRAINT part_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.person
    ADD CONSTRAINT person_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.place
    ADD CONSTRAINT place_code_key UNIQUE (code);
ALTER TABLE ONLY public.place
    ADD CONSTRAINT place_id_kept_key UNIQUE (id, kept);
ALTER TABLE ONLY public.place_move
    ADD CONSTRAINT place_move_pkey PRIMARY KEY (entry_id);
ALTER TABLE ONLY public.place
    ADD CONSTRAINT place_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.plan_version
    ADD CONSTRAINT plan_version_pkey PRIMARY KEY (only_row);
ALTER TABLE ONLY public.planned_jobs
    ADD CONSTRAINT planned_jobs_season_id_round_service_assembly_key UNIQUE NULLS NOT DISTINCT (season_id, round, service, assembly);
ALTER TABLE ONLY public.price_break
    ADD CONSTRAINT price_break_pkey PRIMARY KEY (supplier, part, from_packs);
ALTER TABLE ONLY public.rider
    ADD CONSTRAINT rider_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.round
    ADD CONSTRAINT round_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.round
    ADD CONSTRAINT round_season_id_code_key UNIQUE (season_id, code);
ALTER TABLE ONLY public.season
    ADD CONSTRAINT season_code_key UNIQUE (code);
ALTER TABLE ONLY public.season
    ADD CONSTRAINT season_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.service_line
    ADD CONSTRAINT service_line_pkey PRIMARY KEY (pos);
ALTER TABLE ONLY public.service
    ADD CONSTRAINT service_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.spring_choice
    ADD CONSTRAINT spring_choice_pkey PRIMARY KEY (rider, model, spring);
ALTER TABLE ONLY public.spring
    ADD CONSTRAINT spring_pkey PRIMARY KEY (part);
ALTER TABLE ONLY public.supplier
    ADD CONSTRAINT supplier_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.tag
    ADD CONSTRAINT tag_id_lot_id_key UNIQUE (id, lot_id);
ALTER TABLE ONLY public.tag
    ADD CONSTRAINT tag_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.tag
    ADD CONSTRAINT tag_season_id_code_key UNIQUE (season_id, code);
ALTER TABLE ONLY public.top_up
    ADD CONSTRAINT top_up_pkey PRIMARY KEY (season_id, trip, on_day);
ALTER TABLE ONLY public.travel_case
    ADD CONSTRAINT travel_case_pkey PRIMARY KEY (code);
ALTER TABLE ONLY public.trip
    ADD CONSTRAINT trip_pkey PRIMARY KEY (id);
ALTER TABLE ONLY public.trip
    ADD CONSTRAINT trip_season_id_code_key UNIQUE (season_id, code);
ALTER TABLE ONLY public.unplanned_rate
    ADD CONSTRAINT unplanned_rate_pkey PRIMARY KEY (service);
ALTER TABLE ONLY public.weighing
    ADD CONSTRAINT weighing_pkey PRIMARY KEY (entry_id);
CREATE INDEX balance_place ON public.balance USING btree (place_id) WHERE (kept AND (quantity > 0));
CREATE INDEX entry_happened ON public.entry USING btree (season_id, happened_at);
CREATE INDEX job_assembly ON public.job USING btree (assembly, service);
CREATE INDEX job_round ON public.job USING btree (season_id, round);
CREATE INDEX lot_cost_lot ON public.lot_cost USING btree (lot_id);
CREATE INDEX lot_part ON public.lot USING btree (part_id);
CREATE INDEX movement_lot ON public.movement USING btree (lot_id);
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.count_line FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.entry FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.entry_seq FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.job FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.lot_cost FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.movement FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.place_move FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON public.weighing FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
ALTER TABLE ONLY public.allocation
    ADD CONSTRAINT allocation_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.allocation
    ADD CONSTRAINT allocation_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.alternative
    ADD CONSTRAINT alternative_alternative_fkey FOREIGN KEY (alternative) REFERENCES public.part(code);
ALTER TABLE ONLY public.alternative
    ADD CONSTRAINT alternative_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_code_fkey FOREIGN KEY (code) REFERENCES public.place(code);
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_damper_oil_fkey FOREIGN KEY (damper_oil) REFERENCES public.part(code);
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_model_fkey FOREIGN KEY (model) REFERENCES public.model(code);
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_on_bike_fkey FOREIGN KEY (on_bike) REFERENCES public.assembly(code) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.assembly
    ADD CONSTRAINT assembly_rider_fkey FOREIGN KEY (rider) REFERENCES public.rider(code);
ALTER TABLE ONLY public.balance
    ADD CONSTRAINT balance_lot_id_fkey FOREIGN KEY (lot_id) REFERENCES public.lot(id);
ALTER TABLE ONLY public.balance
    ADD CONSTRAINT balance_place_id_kept_fkey FOREIGN KEY (place_id, kept) REFERENCES public.place(id, kept);
ALTER TABLE ONLY public.balance
    ADD CONSTRAINT balance_tag_id_lot_id_fkey FOREIGN KEY (tag_id, lot_id) REFERENCES public.tag(id, lot_id);
ALTER TABLE ONLY public.budget
    ADD CONSTRAINT budget_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.budget
    ADD CONSTRAINT budget_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.charge
    ADD CONSTRAINT charge_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.charge
    ADD CONSTRAINT charge_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.charge
    ADD CONSTRAINT charge_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.closed_month
    ADD CONSTRAINT closed_month_person_fkey FOREIGN KEY (person) REFERENCES public.person(code);
ALTER TABLE ONLY public.closure
    ADD CONSTRAINT closure_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.collection
    ADD CONSTRAINT collection_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.collection
    ADD CONSTRAINT collection_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_lot_id_part_id_fkey FOREIGN KEY (lot_id, part_id) REFERENCES public.lot(id, part_id);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_part_id_fkey FOREIGN KEY (part_id) REFERENCES public.part(id);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_place_id_fkey FOREIGN KEY (place_id) REFERENCES public.place(id);
ALTER TABLE ONLY public.count_line
    ADD CONSTRAINT count_line_tag_id_lot_id_fkey FOREIGN KEY (tag_id, lot_id) REFERENCES public.tag(id, lot_id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT entry_person_fkey FOREIGN KEY (person) REFERENCES public.person(code);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT entry_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.entry_seq
    ADD CONSTRAINT entry_seq_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT entry_undoes_fkey FOREIGN KEY (undoes) REFERENCES public.entry(id);
ALTER TABLE ONLY public.job
    ADD CONSTRAINT job_assembly_fkey FOREIGN KEY (assembly) REFERENCES public.assembly(code);
ALTER TABLE ONLY public.job
    ADD CONSTRAINT job_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.job
    ADD CONSTRAINT job_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.job
    ADD CONSTRAINT job_service_fkey FOREIGN KEY (service) REFERENCES public.service(code);
ALTER TABLE ONLY public.kit_content
    ADD CONSTRAINT kit_content_kit_fkey FOREIGN KEY (kit) REFERENCES public.part(code);
ALTER TABLE ONLY public.kit_content
    ADD CONSTRAINT kit_content_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.liquid
    ADD CONSTRAINT liquid_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.lot_cost
    ADD CONSTRAINT lot_cost_lot_id_fkey FOREIGN KEY (lot_id) REFERENCES public.lot(id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_part_id_fkey FOREIGN KEY (part_id) REFERENCES public.part(id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_season_id_from_lot_fkey FOREIGN KEY (season_id, from_lot) REFERENCES public.lot(season_id, code);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_season_id_order_code_fkey FOREIGN KEY (season_id, order_code) REFERENCES public.orders(season_id, code);
ALTER TABLE ONLY public.lot
    ADD CONSTRAINT lot_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_from_id_fkey FOREIGN KEY (from_id) REFERENCES public.place(id);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_lot_id_fkey FOREIGN KEY (lot_id) REFERENCES public.lot(id);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_tag_id_lot_id_fkey FOREIGN KEY (tag_id, lot_id) REFERENCES public.tag(id, lot_id);
ALTER TABLE ONLY public.movement
    ADD CONSTRAINT movement_to_id_fkey FOREIGN KEY (to_id) REFERENCES public.place(id);
ALTER TABLE ONLY public.offer
    ADD CONSTRAINT offer_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.offer
    ADD CONSTRAINT offer_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.order_line
    ADD CONSTRAINT order_line_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.order_line
    ADD CONSTRAINT order_line_season_id_order_code_fkey FOREIGN KEY (season_id, order_code) REFERENCES public.orders(season_id, code);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_ship_to_fkey FOREIGN KEY (ship_to) REFERENCES public.place(code);
ALTER TABLE ONLY public.orders
    ADD CONSTRAINT orders_supplier_fkey FOREIGN KEY (supplier) REFERENCES public.supplier(code);
ALTER TABLE ONLY public.part
    ADD CONSTRAINT part_home_in_truck_fkey FOREIGN KEY (home_in_truck) REFERENCES public.place(code);
ALTER TABLE ONLY public.part
    ADD CONSTRAINT part_home_in_workshop_fkey FOREIGN KEY (home_in_workshop) REFERENCES public.place(code);
ALTER TABLE ONLY public.place_move
    ADD CONSTRAINT place_move_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.place_move
    ADD CONSTRAINT place_move_parent_fkey FOREIGN KEY (parent) REFERENCES public.place(code);
ALTER TABLE ONLY public.place_move
    ADD CONSTRAINT place_move_place_fkey FOREIGN KEY (place) REFERENCES public.place(code);
ALTER TABLE ONLY public.place
    ADD CONSTRAINT place_parent_fkey FOREIGN KEY (parent) REFERENCES public.place(code) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.planned_jobs
    ADD CONSTRAINT planned_jobs_assembly_fkey FOREIGN KEY (assembly) REFERENCES public.assembly(code);
ALTER TABLE ONLY public.planned_jobs
    ADD CONSTRAINT planned_jobs_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.planned_jobs
    ADD CONSTRAINT planned_jobs_service_fkey FOREIGN KEY (service) REFERENCES public.service(code);
ALTER TABLE ONLY public.price_break
    ADD CONSTRAINT price_break_supplier_part_fkey FOREIGN KEY (supplier, part) REFERENCES public.offer(supplier, part) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE ONLY public.round
    ADD CONSTRAINT round_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.round
    ADD CONSTRAINT round_season_id_trip_fkey FOREIGN KEY (season_id, trip) REFERENCES public.trip(season_id, code);
ALTER TABLE ONLY public.service_line
    ADD CONSTRAINT service_line_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.service_line
    ADD CONSTRAINT service_line_service_fkey FOREIGN KEY (service) REFERENCES public.service(code);
ALTER TABLE ONLY public.spring_choice
    ADD CONSTRAINT spring_choice_model_fkey FOREIGN KEY (model) REFERENCES public.model(code);
ALTER TABLE ONLY public.spring_choice
    ADD CONSTRAINT spring_choice_rider_fkey FOREIGN KEY (rider) REFERENCES public.rider(code);
ALTER TABLE ONLY public.spring_choice
    ADD CONSTRAINT spring_choice_spring_fkey FOREIGN KEY (spring) REFERENCES public.spring(part);
ALTER TABLE ONLY public.spring
    ADD CONSTRAINT spring_model_fkey FOREIGN KEY (model) REFERENCES public.model(code);
ALTER TABLE ONLY public.spring
    ADD CONSTRAINT spring_part_fkey FOREIGN KEY (part) REFERENCES public.part(code);
ALTER TABLE ONLY public.tag
    ADD CONSTRAINT tag_lot_id_part_id_fkey FOREIGN KEY (lot_id, part_id) REFERENCES public.lot(id, part_id);
ALTER TABLE ONLY public.tag
    ADD CONSTRAINT tag_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.top_up
    ADD CONSTRAINT top_up_from_place_fkey FOREIGN KEY (from_place) REFERENCES public.place(code);
ALTER TABLE ONLY public.top_up
    ADD CONSTRAINT top_up_season_id_round_fkey FOREIGN KEY (season_id, round) REFERENCES public.round(season_id, code);
ALTER TABLE ONLY public.top_up
    ADD CONSTRAINT top_up_season_id_trip_fkey FOREIGN KEY (season_id, trip) REFERENCES public.trip(season_id, code);
ALTER TABLE ONLY public.travel_case
    ADD CONSTRAINT travel_case_code_fkey FOREIGN KEY (code) REFERENCES public.place(code);
ALTER TABLE ONLY public.trip
    ADD CONSTRAINT trip_season_id_fkey FOREIGN KEY (season_id) REFERENCES public.season(id);
ALTER TABLE ONLY public.trip
    ADD CONSTRAINT trip_truck_fkey FOREIGN KEY (truck) REFERENCES public.place(code);
ALTER TABLE ONLY public.unplanned_rate
    ADD CONSTRAINT unplanned_rate_service_fkey FOREIGN KEY (service) REFERENCES public.service(code);
ALTER TABLE ONLY public.weighing
    ADD CONSTRAINT weighing_entry_id_fkey FOREIGN KEY (entry_id) REFERENCES public.entry(id);
ALTER TABLE ONLY public.weighing
    ADD CONSTRAINT weighing_tag_id_fkey FOREIGN KEY (tag_id) REFERENCES public.tag(id);
