-- Bring up to date which obligation of each system is late first; one without a date comes last.
-- {late} is due_on + grace_days in the database's own words.
INSERT INTO system_due (
    system_id, site_id, firm_id, jurisdiction_id, obligation_id, task,
    counted_from, due_on, grace_days, cell, town, kind
)
SELECT
    system_id, site_id, firm_id, jurisdiction_id, id, task, counted_from, due_on, grace_days,
    cell, town, kind
FROM (
    SELECT
        o.*,
        f.cell,
        f.town,
        f.kind,
        row_number() OVER (
            PARTITION BY o.system_id
            ORDER BY CASE WHEN o.due_on IS NULL THEN 1 ELSE 0 END, {late}, o.due_on, o.id
        ) AS nth
    FROM obligation AS o
    JOIN due_scope AS f ON f.system_id = o.system_id
) AS ranked
WHERE nth = 1
ON CONFLICT (system_id) DO UPDATE SET
    site_id = excluded.site_id,
    firm_id = excluded.firm_id,
    jurisdiction_id = excluded.jurisdiction_id,
    obligation_id = excluded.obligation_id,
    task = excluded.task,
    counted_from = excluded.counted_from,
    due_on = excluded.due_on,
    grace_days = excluded.grace_days,
    cell = excluded.cell,
    town = excluded.town,
    kind = excluded.kind
