-- What sums a large season quickly, and what a lot cost in several currencies.

-- +goose Up

-- The sum of whole numbers as a whole number: exact, an error where it would not fit, and
-- with a state that needs no memory of its own, where sum() of bigint keeps 128 bits for
-- each of some ten thousand groups.
CREATE AGGREGATE whole_sum(bigint) (SFUNC = int8pl, STYPE = bigint, COMBINEFUNC = int8pl, PARALLEL = SAFE);

-- Records that are not jobs are few, and asked for by their kind.
CREATE INDEX entry_no_job ON entry (season_id, kind) WHERE kind <> 'job';

-- Home currency for one of a currency on a day; null where nobody said.
CREATE FUNCTION home_rate(of_currency text, home text, on_day date) RETURNS numeric LANGUAGE sql STABLE AS $$
    SELECT CASE WHEN of_currency IN (home, '') THEN 1
        ELSE (SELECT r.rate FROM exchange_rate AS r WHERE r.currency = of_currency AND r.from_on <= on_day ORDER BY r.from_on DESC LIMIT 1) END
$$;
