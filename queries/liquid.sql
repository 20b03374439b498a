-- name: LiquidPut :execrows
INSERT INTO liquid (part, label_weight, cst_40, cst_100, density_g_ml, notes, pos)
SELECT r.part, r.label_weight, r.cst_40, r.cst_100, r.density_g_ml, r.notes, r.pos
FROM json_to_recordset(sqlc.arg(rows)::json) AS r (part text, label_weight text, cst_40 numeric, cst_100 numeric,
    density_g_ml numeric, notes text, pos integer)
ON CONFLICT (part) DO UPDATE SET label_weight = excluded.label_weight, cst_40 = excluded.cst_40, cst_100 =
    excluded.cst_100, density_g_ml = excluded.density_g_ml, notes = excluded.notes, pos = excluded.pos;

-- name: LiquidList :one
SELECT coalesce(json_agg(r ORDER BY r.pos), '[]')::json AS rows
FROM (SELECT part, label_weight, cst_40, cst_100, density_g_ml, notes, pos FROM liquid) AS r;
