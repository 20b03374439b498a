-- The chance wanted that every job of a trip can be done with what is packed; blank: 90.

-- +goose Up
ALTER TABLE season
    ADD COLUMN trip_readiness_percent numeric CHECK (trip_readiness_percent > 0 AND trip_readiness_percent < 100);
