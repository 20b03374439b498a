-- A charge can be taken back: what it added is added once more with the other sign.

-- +goose Up
ALTER TABLE plan_change DROP CONSTRAINT plan_change_what_check;
ALTER TABLE plan_change ADD CONSTRAINT plan_change_what_check CHECK (what IN ('jobs', 'weather', 'trip', 'order', 'line', 'rate', 'offer', 'charge'));
