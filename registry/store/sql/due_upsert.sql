-- Bring the obligations of some systems up to date from the temporary table due_fresh.
-- {is_not} is IS NOT on SQLite and IS DISTINCT FROM on PostgreSQL: unchanged rows are not written.
INSERT INTO obligation (
    system_id, site_id, firm_id, jurisdiction_id, task, rule_code, source,
    last_done, counted_from, due_on, estimated, grace_days, horizon_days, reason
)
SELECT
    system_id, site_id, firm_id, jurisdiction_id, task, rule_code, source,
    last_done, counted_from, due_on, estimated, grace_days, horizon_days, reason
FROM due_fresh
WHERE true
ON CONFLICT (system_id, task) DO UPDATE SET
    site_id = excluded.site_id,
    firm_id = excluded.firm_id,
    jurisdiction_id = excluded.jurisdiction_id,
    rule_code = excluded.rule_code,
    source = excluded.source,
    last_done = excluded.last_done,
    counted_from = excluded.counted_from,
    due_on = excluded.due_on,
    estimated = excluded.estimated,
    grace_days = excluded.grace_days,
    horizon_days = excluded.horizon_days,
    reason = excluded.reason
WHERE (
    obligation.site_id, obligation.firm_id, obligation.jurisdiction_id, obligation.rule_code,
    obligation.source, obligation.last_done, obligation.counted_from, obligation.due_on,
    obligation.estimated, obligation.grace_days, obligation.horizon_days, obligation.reason
) {is_not} (
    excluded.site_id, excluded.firm_id, excluded.jurisdiction_id, excluded.rule_code,
    excluded.source, excluded.last_done, excluded.counted_from, excluded.due_on,
    excluded.estimated, excluded.grace_days, excluded.horizon_days, excluded.reason
)
