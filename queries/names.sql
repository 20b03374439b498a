-- name: NamesVersion :one
-- Changes whenever a name is added or goes.
SELECT (concat_ws('-', (SELECT version FROM plan_version), (SELECT count(*) FROM tag), (SELECT count(*) FROM orders)))::text AS version;

-- name: NameList :many
-- Every name that people type, of all seasons.
SELECT n.kind::text AS kind, n.code::text AS code FROM (
    SELECT 'part' AS kind, code FROM part
    UNION SELECT 'service', code FROM service
    UNION SELECT 'assembly', code FROM assembly
    UNION SELECT 'place', code FROM place WHERE kind NOT IN ('outside', 'assembly')
    UNION SELECT 'person', code FROM person
    UNION SELECT 'supplier', code FROM supplier
    UNION SELECT 'rider', code FROM rider
    UNION SELECT 'round', code FROM round
    UNION SELECT 'trip', code FROM trip
    UNION SELECT 'season', code FROM season
    UNION SELECT 'tag', code FROM tag
    UNION SELECT 'order', code FROM orders
) AS n
ORDER BY n.kind, n.code;
