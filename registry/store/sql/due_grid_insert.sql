-- Count the systems of the touched map cells, with the days on which each was last not yet overdue
-- as a sorted array: width_bucket then answers how many are overdue on any day. PostGIS only.
INSERT INTO due_grid (cell, jurisdiction_id, firm_id, n, late_days)
SELECT
    cell, jurisdiction_id, firm_id, count(*),
    coalesce(
        array_agg(due_on - DATE '2000-01-01' + grace_days ORDER BY due_on + grace_days)
            FILTER (WHERE due_on IS NOT NULL),
        '{}'
    )
FROM system_due
WHERE cell IN (SELECT cell FROM due_cell)
GROUP BY cell, jurisdiction_id, firm_id
