-- What a trip took along, used and brought back.

-- name: PackEntries :one
-- How many records packed for a trip, undone ones too: the next one gets a number of its own.
SELECT count(*) FROM entry WHERE season_id = sqlc.arg(season_id) AND kind = 'pack' AND reference = sqlc.arg(trip);
