-- What sums a large season quickly, and what a lot cost in several currencies.

-- +goose Up

-- The sum of whole numbers as a whole number: exact, an error where it would not fit, and
-- with a state that needs no memory of its own, where sum() of bigint keeps 128 bits for
-- each of some ten thousand groups.
CREATE AGGREGATE whole_sum(bigint) (SFUNC = int8pl, STYPE = bigint, COMBINEFUNC = int8pl, PARALLEL = SAFE);

-- Records that are not jobs are few, and asked for by their kind.
CREATE INDEX entry_no_job ON entry (season_id, kind) WHERE kind <> 'job';
