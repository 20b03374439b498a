-- name: PartPut :execrows
INSERT INTO part (code, name, kind, unit, carried_in, contents, tare_mg, mass_mg, packed_ul, water_ul,
    storage_life_months, months_after_opening, reusable, serial_numbers, comes_home, by_air, un_number, home_in_truck, home_in_workshop,
    truck_minimum, customs_heading, origin, notes, pos)
SELECT r.code, r.name, r.kind, r.unit, r.carried_in, r.contents, r.tare_mg, r.mass_mg, r.packed_ul,
    r.water_ul, r.storage_life_months, r.months_after_opening, r.reusable, r.serial_numbers, r.comes_home, r.by_air, r.un_number,
    nullif(r.home_in_truck, ''), nullif(r.home_in_workshop, ''), r.truck_minimum, r.customs_heading, r.origin,
    r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, kind text, unit text, carried_in text,
    contents bigint, tare_mg bigint, mass_mg bigint, packed_ul bigint, water_ul bigint, storage_life_months integer,
    months_after_opening integer, reusable boolean, serial_numbers boolean, comes_home boolean, by_air boolean,
    un_number text, home_in_truck text, home_in_workshop text, truck_minimum bigint, customs_heading text, origin
    text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, kind = excluded.kind, unit = excluded.unit, carried_in =
    excluded.carried_in, contents = excluded.contents, tare_mg = excluded.tare_mg, mass_mg = excluded.mass_mg,
    packed_ul = excluded.packed_ul, water_ul = excluded.water_ul, storage_life_months = excluded.storage_life_months, months_after_opening =
    excluded.months_after_opening, reusable = excluded.reusable, serial_numbers = excluded.serial_numbers, comes_home
    = excluded.comes_home, by_air = excluded.by_air, un_number = excluded.un_number, home_in_truck =
    excluded.home_in_truck, home_in_workshop = excluded.home_in_workshop, truck_minimum = excluded.truck_minimum,
    customs_heading = excluded.customs_heading, origin = excluded.origin, notes = excluded.notes, pos = excluded.pos;

-- name: PartList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, kind, unit, carried_in, contents, tare_mg, mass_mg, packed_ul, water_ul, storage_life_months,
    months_after_opening, reusable, serial_numbers, comes_home, by_air, un_number, coalesce(home_in_truck, '') AS
    home_in_truck, coalesce(home_in_workshop, '') AS home_in_workshop, truck_minimum, customs_heading, origin, notes,
    pos FROM part) AS r;
