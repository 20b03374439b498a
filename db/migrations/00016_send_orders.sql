-- What an order needs to be sent: whom to write to and where, who we are to them, on what terms; and how many packs of
-- a line an allocation gives free.

-- +goose Up
ALTER TABLE supplier
    ADD COLUMN address         text NOT NULL DEFAULT '',
    ADD COLUMN contact         text NOT NULL DEFAULT '',
    ADD COLUMN email           text NOT NULL DEFAULT '',
    ADD COLUMN customer_number text NOT NULL DEFAULT '',
    ADD COLUMN tax_number      text NOT NULL DEFAULT '',
    ADD COLUMN terms           text NOT NULL DEFAULT '';
ALTER TABLE season
    ADD COLUMN address    text NOT NULL DEFAULT '',
    ADD COLUMN contact    text NOT NULL DEFAULT '',
    ADD COLUMN email      text NOT NULL DEFAULT '',
    ADD COLUMN tax_number text NOT NULL DEFAULT '';
ALTER TABLE order_line
    ADD COLUMN free_packs integer CHECK (free_packs >= 0 AND free_packs <= packs);
