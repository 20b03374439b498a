-- The catalogue: what a team knows from one season to the next.
-- Codes are the people's own keys; the ledger uses the small ids. "pos" is the
-- row's place in its sheet, so that a saved workbook keeps the order people chose;
-- a place without one was never in a sheet.

-- +goose Up
CREATE TABLE season (
    id                       integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    code                     text NOT NULL UNIQUE CHECK (code <> ''),
    name                     text NOT NULL DEFAULT '',
    team                     text NOT NULL DEFAULT '',
    base                     text NOT NULL DEFAULT '',
    country                  text NOT NULL DEFAULT '',
    time_zone                text NOT NULL,
    currency                 text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
    first_on                 date NOT NULL,
    last_on                  date NOT NULL,
    confidence_percent       numeric CHECK (confidence_percent > 0 AND confidence_percent < 100),
    handling_days            integer CHECK (handling_days >= 0),
    home_tax_percent         numeric CHECK (home_tax_percent >= 0),
    spring_tolerance_percent numeric CHECK (spring_tolerance_percent >= 0),
    notes                    text NOT NULL DEFAULT '',
    CHECK (first_on <= last_on)
);

-- The season clock: now is the computer's clock plus this. One row, for ever.
CREATE TABLE clock (
    only_row   boolean PRIMARY KEY DEFAULT true CHECK (only_row),
    ahead_by   interval NOT NULL DEFAULT '0'
);
INSERT INTO clock DEFAULT VALUES;

CREATE TABLE person (
    code  text PRIMARY KEY CHECK (code <> ''),
    name  text NOT NULL DEFAULT '',
    role  text NOT NULL DEFAULT '' CHECK (role IN ('', 'mechanic', 'logistics', 'manager')),
    notes text NOT NULL DEFAULT '',
    pos   integer NOT NULL
);

CREATE TABLE rider (
    code           text PRIMARY KEY CHECK (code <> ''),
    name           text NOT NULL DEFAULT '',
    kitted_mass_kg numeric CHECK (kitted_mass_kg > 0),
    notes          text NOT NULL DEFAULT '',
    pos            integer NOT NULL
);

CREATE TABLE model (
    code  text PRIMARY KEY CHECK (code <> ''),
    name  text NOT NULL DEFAULT '',
    kind  text NOT NULL CHECK (kind IN ('fork', 'shock', 'bike')),
    notes text NOT NULL DEFAULT '',
    pos   integer NOT NULL
);

CREATE TABLE supplier (
    code          text PRIMARY KEY CHECK (code <> ''),
    name          text NOT NULL DEFAULT '',
    country       text NOT NULL DEFAULT '',
    currency      text NOT NULL DEFAULT '' CHECK (currency ~ '^([A-Z]{3})?$'),
    cut_off_day   text NOT NULL DEFAULT '',
    cut_off_time  text NOT NULL DEFAULT '',
    minimum_order numeric CHECK (minimum_order >= 0),
    carriage      numeric CHECK (carriage >= 0),
    free_from     numeric CHECK (free_from >= 0),
    free_from_l   numeric CHECK (free_from_l >= 0),
    entry_fee     numeric CHECK (entry_fee >= 0),
    duty_percent  numeric CHECK (duty_percent >= 0),
    notes         text NOT NULL DEFAULT '',
    pos           integer NOT NULL
);

-- A place holds stock of ours ("kept": workshop, truck, case, an assembly, lent), or
-- is the outside, where stock comes from and ends. Only kept places are never below 0.
CREATE TABLE place (
    id     integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    code   text NOT NULL UNIQUE CHECK (code <> ''),
    name   text NOT NULL DEFAULT '',
    parent text REFERENCES place (code) DEFERRABLE INITIALLY DEFERRED CHECK (parent <> code),
    kind   text NOT NULL CHECK (kind IN ('workshop', 'truck', 'pit', 'case', 'drawer', 'lent', 'outside', 'assembly')),
    kept   boolean NOT NULL GENERATED ALWAYS AS (kind <> 'outside') STORED,
    notes  text NOT NULL DEFAULT '',
    pos    integer,
    UNIQUE (id, kept)
);
INSERT INTO place (code, kind) VALUES
    ('supplier', 'outside'), ('used', 'outside'), ('scrap', 'outside'), ('count difference', 'outside'),
    ('opening', 'outside'), ('opened kit', 'outside'), ('relabelled', 'outside');

CREATE TABLE travel_case (
    code       text PRIMARY KEY REFERENCES place (code),
    limit_kg   numeric CHECK (limit_kg > 0),
    tare_kg    numeric CHECK (tare_kg >= 0),
    fixed_kg   numeric CHECK (fixed_kg >= 0),
    volume_l   numeric CHECK (volume_l > 0),
    goes_by    text NOT NULL DEFAULT '' CHECK (goes_by IN ('', 'air', 'truck')),
    keep_apart text NOT NULL DEFAULT '' CHECK (keep_apart IN ('', 'liquids', 'seals')),
    notes      text NOT NULL DEFAULT '',
    pos        integer NOT NULL
);

CREATE TABLE part (
    id                   integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    code                 text NOT NULL UNIQUE CHECK (code <> ''),
    name                 text NOT NULL DEFAULT '',
    kind                 text NOT NULL CHECK (kind IN ('seal kit', 'seal', 'hardware', 'bushing', 'spring', 'oil', 'grease', 'cleaner', 'gas', 'tool', 'other')),
    unit                 text NOT NULL CHECK (unit IN ('pc', 'ml', 'g')),
    carried_in           text NOT NULL DEFAULT '',
    contents             bigint CHECK (contents > 0),
    tare_mg              bigint CHECK (tare_mg >= 0),
    mass_mg              bigint CHECK (mass_mg >= 0),
    packed_ul            bigint CHECK (packed_ul >= 0),
    storage_life_months  integer CHECK (storage_life_months > 0),
    months_after_opening integer CHECK (months_after_opening > 0),
    reusable             boolean,
    serial_numbers       boolean,
    comes_home           boolean,
    by_air               boolean,
    un_number            text NOT NULL DEFAULT '',
    home_in_truck        text REFERENCES place (code),
    home_in_workshop     text REFERENCES place (code),
    truck_minimum        bigint CHECK (truck_minimum >= 0),
    customs_heading      text NOT NULL DEFAULT '',
    origin               text NOT NULL DEFAULT '',
    notes                text NOT NULL DEFAULT '',
    pos                  integer NOT NULL
);

CREATE TABLE liquid (
    part         text PRIMARY KEY REFERENCES part (code),
    label_weight text NOT NULL DEFAULT '',
    cst_40       numeric CHECK (cst_40 > 0),
    cst_100      numeric CHECK (cst_100 > 0),
    density_g_ml numeric CHECK (density_g_ml > 0),
    notes        text NOT NULL DEFAULT '',
    pos          integer NOT NULL
);

CREATE TABLE spring (
    part           text PRIMARY KEY REFERENCES part (code),
    model          text NOT NULL REFERENCES model (code),
    rate           numeric NOT NULL CHECK (rate > 0),
    rate_unit      text NOT NULL CHECK (rate_unit IN ('lb/in', 'N/mm', 'kgf/mm')),
    breaks_per_day numeric CHECK (breaks_per_day >= 0),
    notes          text NOT NULL DEFAULT '',
    pos            integer NOT NULL
);

CREATE TABLE kit_content (
    kit      text NOT NULL REFERENCES part (code),
    part     text NOT NULL REFERENCES part (code) CHECK (part <> kit),
    quantity bigint NOT NULL CHECK (quantity > 0),
    notes    text NOT NULL DEFAULT '',
    pos      integer NOT NULL,
    PRIMARY KEY (kit, part)
);

CREATE TABLE alternative (
    part        text NOT NULL REFERENCES part (code),
    alternative text NOT NULL REFERENCES part (code) CHECK (alternative <> part),
    preference  integer CHECK (preference > 0),
    notes       text NOT NULL DEFAULT '',
    pos         integer NOT NULL,
    PRIMARY KEY (part, alternative)
);

-- An assembly is a fork, a shock or a bike, and the place where its spring is.
CREATE TABLE assembly (
    code        text PRIMARY KEY REFERENCES place (code),
    model       text NOT NULL REFERENCES model (code),
    rider       text REFERENCES rider (code),
    on_bike     text REFERENCES assembly (code) DEFERRABLE INITIALLY DEFERRED CHECK (on_bike <> code),
    damper_oil  text REFERENCES part (code),
    hours       numeric CHECK (hours >= 0),
    goes_by_air boolean,
    notes       text NOT NULL DEFAULT '',
    pos         integer NOT NULL
);

CREATE TABLE service (
    code       text PRIMARY KEY CHECK (code <> ''),
    name       text NOT NULL DEFAULT '',
    model_kind text NOT NULL DEFAULT '' CHECK (model_kind IN ('', 'fork', 'shock', 'bike')),
    minutes    integer CHECK (minutes >= 0),
    planned    boolean,
    caution    text NOT NULL DEFAULT '',
    notes      text NOT NULL DEFAULT '',
    pos        integer NOT NULL
);

CREATE TABLE exchange_rate (
    currency text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
    from_on  date NOT NULL,
    rate     numeric NOT NULL CHECK (rate > 0),
    notes    text NOT NULL DEFAULT '',
    pos      integer NOT NULL,
    PRIMARY KEY (currency, from_on)
);
