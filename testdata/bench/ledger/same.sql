-- One job log by hand: job row, eight movements, ordered lock and update of the 16 balances.
-- Everybody on the same eight lots.
BEGIN;
INSERT INTO hand_job (service, assembly, person, at) VALUES ('S1', 'F1', 'u1', now()) RETURNING id AS job \gset
SELECT quantity FROM hand_balance WHERE lot_id IN (0, 1, 2, 3, 4, 5, 6, 7) ORDER BY lot_id, place_id FOR NO KEY UPDATE;
INSERT INTO hand_movement SELECT :job, 1, l, 1 + l % 20, 0, n FROM unnest(ARRAY[0, 1, 2, 3, 4, 5, 6, 7]::integer[]) WITH ORDINALITY AS x (l, n);
UPDATE hand_balance SET quantity = quantity + CASE place_id WHEN 0 THEN 1 ELSE -1 END WHERE lot_id IN (0, 1, 2, 3, 4, 5, 6, 7);
COMMIT;
