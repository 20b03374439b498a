-- What was used of a part in periods before there was a plan; what a typed chance is worth; a
-- number of the plan that the log has corrected.

-- +goose Up
-- Append-only: what a period is known to have used does not change.
CREATE TABLE use_history (
    part     text NOT NULL REFERENCES part (code),
    period   text NOT NULL CHECK (period ~ '^[0-9]{4}-(0[1-9]|1[0-2]|W[0-5][0-9])$'), -- a month or an ISO week
    quantity bigint NOT NULL CHECK (quantity >= 0),                                  -- base units
    PRIMARY KEY (part, period)
);

-- How many jobs a typed chance is worth (blank: 10), or that it is known; how much of last
-- season's log counts (blank: 50).
ALTER TABLE season
    ADD COLUMN chances_worth text NOT NULL DEFAULT '' CHECK (chances_worth ~ '^(known|[0-9]{1,5}([.][0-9]{1,6})?)?$'),
    ADD COLUMN last_season_percent numeric CHECK (last_season_percent BETWEEN 0 AND 100);

ALTER TABLE plan_change DROP CONSTRAINT plan_change_what_check;
ALTER TABLE plan_change ADD CONSTRAINT plan_change_what_check CHECK (what IN ('jobs', 'weather', 'trip', 'order', 'line', 'rate', 'offer'));
