-- One way into the ledger: what wrote several jobs in one call goes, with the versions of stock
-- it went by (a database made by an older program has them). And the functions' revision is
-- kept, so that programs know whose stand here.

-- +goose Up
DROP FUNCTION IF EXISTS record_together(integer, bigint, uuid[], integer[], bigint[], timestamptz[], json, json, json, json, json);
DROP FUNCTION IF EXISTS likely_doubles(integer, uuid[], text, text, timestamptz);
DROP TRIGGER IF EXISTS part_stock_add ON part;
DROP FUNCTION IF EXISTS part_stock_add();
DROP TABLE IF EXISTS part_stock;

CREATE TABLE functions_loaded (
    only_row boolean PRIMARY KEY DEFAULT true CHECK (only_row),
    revision integer NOT NULL DEFAULT 0,
    sha256   text NOT NULL DEFAULT ''
);
INSERT INTO functions_loaded DEFAULT VALUES;
