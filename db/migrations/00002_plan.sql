-- The plan: what a team means to do in a season, and at what price it can buy.

-- +goose Up
CREATE TABLE spring_choice (
    rider  text NOT NULL REFERENCES rider (code),
    model  text NOT NULL REFERENCES model (code),
    spring text NOT NULL REFERENCES spring (part),
    steep_1 numeric CHECK (steep_1 BETWEEN 0 AND 100),
    steep_2 numeric CHECK (steep_2 BETWEEN 0 AND 100),
    steep_3 numeric CHECK (steep_3 BETWEEN 0 AND 100),
    steep_4 numeric CHECK (steep_4 BETWEEN 0 AND 100),
    steep_5 numeric CHECK (steep_5 BETWEEN 0 AND 100),
    notes  text NOT NULL DEFAULT '',
    pos    integer NOT NULL,
    PRIMARY KEY (rider, model, spring)
);

CREATE TABLE trip (
    id              integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season_id       integer NOT NULL REFERENCES season (id),
    code            text NOT NULL CHECK (code <> ''),
    name            text NOT NULL DEFAULT '',
    goes_by         text NOT NULL DEFAULT '' CHECK (goes_by IN ('', 'truck', 'air', 'home')),
    truck           text REFERENCES place (code),
    pack_by         date,
    leaves_on       date,
    back_on         date,
    customs_list_by date,
    limit_kg        numeric CHECK (limit_kg > 0),
    limit_l         numeric CHECK (limit_l > 0),
    limit_spend     numeric CHECK (limit_spend >= 0),
    notes           text NOT NULL DEFAULT '',
    pos             integer NOT NULL,
    UNIQUE (season_id, code),
    CHECK (leaves_on <= back_on),
    CHECK (pack_by <= leaves_on)
);

CREATE TABLE round (
    id                 integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season_id          integer NOT NULL REFERENCES season (id),
    code               text NOT NULL CHECK (code <> ''),
    name               text NOT NULL DEFAULT '',
    kind               text NOT NULL DEFAULT '' CHECK (kind IN ('', 'race', 'camp', 'workshop')),
    trip               text,
    first_on           date NOT NULL,
    last_on            date NOT NULL,
    country            text NOT NULL DEFAULT '',
    currency           text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    steepness          integer CHECK (steepness BETWEEN 1 AND 5),
    wet_chance_percent numeric CHECK (wet_chance_percent BETWEEN 0 AND 100),
    bikes              integer CHECK (bikes >= 0),
    riding_days        integer CHECK (riding_days >= 0),
    rough_factor       numeric CHECK (rough_factor >= 0),
    weather            text NOT NULL DEFAULT '' CHECK (weather IN ('', 'dry', 'wet')),
    weather_seen_on    date,
    notes              text NOT NULL DEFAULT '',
    pos                integer NOT NULL,
    UNIQUE (season_id, code),
    FOREIGN KEY (season_id, trip) REFERENCES trip (season_id, code),
    CHECK (first_on <= last_on),
    CHECK (riding_days <= last_on - first_on + 1)
);

CREATE TABLE top_up (
    season_id  integer NOT NULL,
    trip       text NOT NULL,
    on_day     date NOT NULL,
    round      text,
    from_place text REFERENCES place (code),
    how        text NOT NULL DEFAULT '',
    limit_kg   numeric CHECK (limit_kg > 0),
    notes      text NOT NULL DEFAULT '',
    pos        integer NOT NULL,
    PRIMARY KEY (season_id, trip, on_day),
    FOREIGN KEY (season_id, trip) REFERENCES trip (season_id, code),
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);

-- One line has one form: fixed (a quantity), chance (a quantity with a chance, known
-- or Beta), or range (min to max); it names a part or the assembly's own part.
CREATE TABLE service_line (
    service           text NOT NULL REFERENCES service (code),
    part              text REFERENCES part (code),
    own_part          text NOT NULL DEFAULT '' CHECK (own_part IN ('', 'damper oil', 'fork spring', 'shock spring')),
    quantity          bigint CHECK (quantity >= 0),
    min               bigint CHECK (min >= 0),
    typical           bigint,
    max               bigint,
    allowance_percent numeric CHECK (allowance_percent >= 0),
    dry_percent       numeric CHECK (dry_percent BETWEEN 0 AND 100),
    wet_percent       numeric CHECK (wet_percent BETWEEN 0 AND 100),
    beta_dry_a        numeric CHECK (beta_dry_a > 0),
    beta_dry_b        numeric CHECK (beta_dry_b > 0),
    beta_wet_a        numeric CHECK (beta_wet_a > 0),
    beta_wet_b        numeric CHECK (beta_wet_b > 0),
    stops_job         boolean,
    on_site           boolean,
    notes             text NOT NULL DEFAULT '',
    pos               integer PRIMARY KEY,
    CHECK ((part IS NULL) <> (own_part = '')),
    CHECK ((min IS NULL) = (max IS NULL) AND (typical IS NULL OR min IS NOT NULL)),
    CHECK (min <= max AND min <= coalesce(typical, min) AND coalesce(typical, max) <= max),
    CHECK (quantity IS NULL OR min IS NULL),
    CHECK (dry_percent IS NULL OR beta_dry_a IS NULL),
    CHECK ((beta_dry_a IS NULL) = (beta_dry_b IS NULL) AND (beta_wet_a IS NULL) = (beta_wet_b IS NULL))
);

CREATE TABLE planned_jobs (
    season_id integer NOT NULL,
    round     text NOT NULL,
    service   text NOT NULL REFERENCES service (code),
    assembly  text REFERENCES assembly (code),
    jobs      integer NOT NULL CHECK (jobs >= 0),
    notes     text NOT NULL DEFAULT '',
    pos       integer NOT NULL,
    UNIQUE NULLS NOT DISTINCT (season_id, round, service, assembly),
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);

CREATE TABLE unplanned_rate (
    service    text PRIMARY KEY REFERENCES service (code),
    rate       numeric CHECK (rate >= 0),
    gamma_a    numeric CHECK (gamma_a > 0),
    gamma_b    numeric CHECK (gamma_b > 0),
    wet_factor numeric CHECK (wet_factor >= 0),
    notes      text NOT NULL DEFAULT '',
    pos        integer NOT NULL,
    CHECK ((gamma_a IS NULL) = (gamma_b IS NULL)),
    CHECK ((rate IS NULL) <> (gamma_a IS NULL))
);

CREATE TABLE offer (
    supplier        text NOT NULL REFERENCES supplier (code),
    part            text NOT NULL REFERENCES part (code),
    preference      integer CHECK (preference > 0),
    supplier_number text NOT NULL DEFAULT '',
    pack            bigint CHECK (pack > 0),
    price_per_pack  numeric CHECK (price_per_pack >= 0),
    currency        text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    minimum_packs   integer CHECK (minimum_packs >= 0),
    lead_days       integer CHECK (lead_days >= 0),
    lead_days_95    integer CHECK (lead_days_95 >= 0),
    notes           text NOT NULL DEFAULT '',
    pos             integer NOT NULL,
    PRIMARY KEY (supplier, part)
);

CREATE TABLE price_break (
    supplier       text NOT NULL,
    part           text NOT NULL,
    from_packs     integer NOT NULL CHECK (from_packs > 0),
    price_per_pack numeric NOT NULL CHECK (price_per_pack >= 0),
    applies_to     text NOT NULL DEFAULT '' CHECK (applies_to IN ('', 'all packs', 'packs beyond')),
    notes          text NOT NULL DEFAULT '',
    pos            integer NOT NULL,
    PRIMARY KEY (supplier, part, from_packs),
    FOREIGN KEY (supplier, part) REFERENCES offer (supplier, part) DEFERRABLE INITIALLY DEFERRED
);

CREATE TABLE closure (
    supplier text NOT NULL REFERENCES supplier (code),
    first_on date NOT NULL,
    last_on  date NOT NULL CHECK (first_on <= last_on),
    notes    text NOT NULL DEFAULT '',
    pos      integer NOT NULL,
    PRIMARY KEY (supplier, first_on)
);

CREATE TABLE collection (
    season_id integer NOT NULL,
    supplier  text NOT NULL REFERENCES supplier (code),
    round     text NOT NULL,
    notes     text NOT NULL DEFAULT '',
    pos       integer NOT NULL,
    PRIMARY KEY (season_id, supplier, round),
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);

CREATE TABLE allocation (
    supplier       text NOT NULL REFERENCES supplier (code),
    part           text NOT NULL REFERENCES part (code),
    free_quantity  bigint NOT NULL CHECK (free_quantity >= 0),
    beyond_percent numeric CHECK (beyond_percent >= 0),
    first_on       date,
    last_on        date,
    notes          text NOT NULL DEFAULT '',
    pos            integer NOT NULL,
    PRIMARY KEY (supplier, part),
    CHECK (first_on <= last_on)
);

CREATE TABLE budget (
    season_id integer NOT NULL REFERENCES season (id),
    line      text NOT NULL CHECK (line <> ''),
    round     text,
    amount    numeric NOT NULL,
    currency  text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    notes     text NOT NULL DEFAULT '',
    pos       integer NOT NULL,
    UNIQUE NULLS NOT DISTINCT (season_id, line, round),
    FOREIGN KEY (season_id, round) REFERENCES round (season_id, code)
);
