-- What must hold of the books; each query names what does not.

-- name: VerifyBalances :many
SELECT format('lot %s, place %s: the balance is %s, the movements sum to %s', l.code, p.code, coalesce(b.quantity, 0), coalesce(m.quantity, 0))::text AS fault
FROM (
        SELECT x.lot_id, x.tag_id, x.place_id, sum(x.quantity) AS quantity
        FROM (
                SELECT lot_id, tag_id, to_id AS place_id, quantity FROM movement
                UNION ALL
                SELECT lot_id, tag_id, from_id, -quantity FROM movement
            ) AS x
        GROUP BY x.lot_id, x.tag_id, x.place_id
    ) AS m
    FULL JOIN balance AS b ON b.lot_id = m.lot_id AND b.place_id = m.place_id AND coalesce(b.tag_id, 0) = coalesce(m.tag_id, 0)
    JOIN lot AS l ON l.id = coalesce(b.lot_id, m.lot_id)
    JOIN place AS p ON p.id = coalesce(b.place_id, m.place_id)
WHERE coalesce(m.quantity, 0) <> coalesce(b.quantity, 0)
ORDER BY 1;

-- name: VerifyLots :many
SELECT format('lot %s sums to %s', l.code, sum(b.quantity))::text AS fault
FROM balance AS b JOIN lot AS l ON l.id = b.lot_id
GROUP BY l.id, l.code
HAVING sum(b.quantity) <> 0
ORDER BY 1;

-- name: VerifyPlaces :many
SELECT format('lot %s, place %s: %s', l.code, p.code, b.quantity)::text AS fault
FROM balance AS b JOIN lot AS l ON l.id = b.lot_id JOIN place AS p ON p.id = b.place_id
WHERE p.kept AND b.quantity < 0
ORDER BY 1;

-- name: VerifyEntries :many
SELECT format('entry %s of %s', e.id, e.happened_at)::text AS fault
FROM entry AS e LEFT JOIN entry_seq AS s ON s.entry_id = e.id
WHERE s.seq IS NULL
ORDER BY 1;

-- name: VerifyTags :many
SELECT CASE WHEN count(*) > 1 THEN format('tag %s is in %s places', t.code, count(*))
    ELSE format('tag %s is %s times in one place', t.code, max(b.quantity)) END::text AS fault
FROM balance AS b JOIN tag AS t ON t.id = b.tag_id JOIN place AS p ON p.id = b.place_id JOIN part AS q ON q.id = t.part_id
WHERE p.kept AND b.quantity > 0
GROUP BY t.id, t.code
HAVING count(*) > 1 OR bool_or(b.quantity > 1 AND q.unit = 'pc')
ORDER BY 1;

-- name: VerifyUndone :many
SELECT format('entry %s undoes %s, which is an undo', e.id, v.id)::text AS fault
FROM entry AS e JOIN entry AS v ON v.id = e.undoes
WHERE v.kind = 'undo'
ORDER BY 1;

-- name: VerifyReferences :many
SELECT format('movement %s of entry %s names what is not there', m.n, m.entry_id)::text AS fault
FROM movement AS m
    LEFT JOIN entry AS e ON e.id = m.entry_id
    LEFT JOIN lot AS l ON l.id = m.lot_id
    LEFT JOIN place AS f ON f.id = m.from_id
    LEFT JOIN place AS g ON g.id = m.to_id
    LEFT JOIN tag AS t ON t.id = m.tag_id AND t.lot_id = m.lot_id
WHERE e.id IS NULL OR l.id IS NULL OR f.id IS NULL OR g.id IS NULL OR m.tag_id IS NOT NULL AND t.id IS NULL
ORDER BY 1;
