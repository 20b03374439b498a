-- name: SupplierPut :execrows
INSERT INTO supplier (code, name, country, currency, cut_off_day, cut_off_time, minimum_order, carriage, free_from,
    free_from_l, entry_fee, duty_percent, address, contact, email, customer_number, tax_number, terms, notes, pos)
SELECT r.code, r.name, r.country, r.currency, r.cut_off_day, r.cut_off_time, r.minimum_order, r.carriage, r.free_from,
    r.free_from_l, r.entry_fee, r.duty_percent, coalesce(r.address, ''), coalesce(r.contact, ''), coalesce(r.email, ''),
    coalesce(r.customer_number, ''), coalesce(r.tax_number, ''), coalesce(r.terms, ''), r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (code text, name text, country text, currency text, cut_off_day
    text, cut_off_time text, minimum_order numeric, carriage numeric, free_from numeric, free_from_l numeric,
    entry_fee numeric, duty_percent numeric, address text, contact text, email text, customer_number text, tax_number text,
    terms text, notes text, pos integer)
ON CONFLICT (code) DO UPDATE SET name = excluded.name, country = excluded.country, currency = excluded.currency,
    cut_off_day = excluded.cut_off_day, cut_off_time = excluded.cut_off_time, minimum_order = excluded.minimum_order,
    carriage = excluded.carriage, free_from = excluded.free_from, free_from_l = excluded.free_from_l, entry_fee =
    excluded.entry_fee, duty_percent = excluded.duty_percent, address = excluded.address, contact = excluded.contact,
    email = excluded.email, customer_number = excluded.customer_number, tax_number = excluded.tax_number,
    terms = excluded.terms, notes = excluded.notes, pos = excluded.pos;

-- name: SupplierList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT code, name, country, currency, cut_off_day, cut_off_time, minimum_order, carriage, free_from,
    free_from_l, entry_fee, duty_percent, address, contact, email, customer_number, tax_number, terms, notes, pos
    FROM supplier) AS r;
