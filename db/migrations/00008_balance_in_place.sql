-- Which index a query may use must not depend on the quantity: a balance is then changed
-- where it stands, without an entry in any index.

-- +goose Up
DROP INDEX balance_place;
CREATE INDEX balance_place ON balance (place_id) WHERE kept;
ALTER TABLE balance SET (fillfactor = 50);
