-- One job log by hand: job row, eight movements, ordered lock and update of the 16 balances.
-- Eight lots at random, one of each eighth of the 1,000.
\set l0 random(0, 124)
\set l1 random(125, 249)
\set l2 random(250, 374)
\set l3 random(375, 499)
\set l4 random(500, 624)
\set l5 random(625, 749)
\set l6 random(750, 874)
\set l7 random(875, 999)
BEGIN;
INSERT INTO hand_job (service, assembly, person, at) VALUES ('S1', 'F1', 'u1', now()) RETURNING id AS job \gset
SELECT quantity FROM hand_balance WHERE lot_id IN (:l0, :l1, :l2, :l3, :l4, :l5, :l6, :l7) ORDER BY lot_id, place_id FOR NO KEY UPDATE;
INSERT INTO hand_movement SELECT :job, 1, l, 1 + l % 20, 0, n FROM unnest(ARRAY[:l0, :l1, :l2, :l3, :l4, :l5, :l6, :l7]::integer[]) WITH ORDINALITY AS x (l, n);
UPDATE hand_balance SET quantity = quantity + CASE place_id WHEN 0 THEN 1 ELSE -1 END WHERE lot_id IN (:l0, :l1, :l2, :l3, :l4, :l5, :l6, :l7);
COMMIT;
