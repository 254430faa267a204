"""Why what a site owes is due when it is, in plain sentences that name every rule looked at."""

from datetime import date

from registry.due.columns import SystemColumns, records
from registry.due.obligations import History, counted_by, obligations
from registry.due.terms import Settled, settle
from registry.due.why import Explained, explained
from registry.records.work import IntervalRule, TaskKind
from registry.services.after_flood import flood_blocks
from registry.store import Session, systems
from registry.store.due_input import Part, due_input, history
from registry.store.rules import rules, task_kinds


def explain_due(session: Session, site_id: int, on_date: date) -> list[Explained]:
    """Return the explanation of each task of each system of a site, earliest due first.

    It is worked out anew by the functions that set the dates, so it cannot say something else.
    Tasks for which no rule is in force anywhere are left out.
    """
    in_force, kinds = rules(session), {one.code: one for one in task_kinds(session)}
    part = Part((site_id,))
    read = due_input(session, part, on_date, kinds)
    past = history(session, part, read.systems)
    blocks = obligations(read.systems, past, in_force, kinds, on_date)
    blocks += flood_blocks(session, part, read.systems, past)
    owed = {(one.system_id, one.task): one for one in records(read.systems, blocks)}
    words = {one.id: one.key or one.kind.value for one in systems.systems_of_site(session, site_id)}
    found = []
    for row, system_id in enumerate(read.systems.system_id.tolist()):
        profile = read.systems.profiles[row]
        settled = settle(in_force, profile, read.systems.own_of(row))
        for code, kind in kinds.items():
            about = [rule for rule in in_force if rule.task == code]
            if about or code in settled or (system_id, code) in owed:
                found.append(
                    explained(
                        words[system_id],
                        kind,
                        owed.get((system_id, code)),
                        about,
                        profile,
                        settled.get(code),
                        _counted(read.systems, past, row, kind, settled.get(code)),
                        on_date,
                    )
                )
    return sorted(found, key=_earliest_first)


def _counted(
    systems: SystemColumns, past: History, row: int, kind: TaskKind, settled: Settled | None
) -> dict[IntervalRule, date | None]:
    """Return the day from which each rule for a task counts at one system."""
    if settled is None:
        return {}
    last_done = past.last(kind.clock or kind.code, len(systems))[row : row + 1]
    installed = systems.installed_on[row : row + 1]
    agreed = systems.agreed(kind.code)[row : row + 1]
    return {
        rule: counted_by(rule, last_done, installed, agreed)[0].item() for rule in settled.setting
    }


def _earliest_first(one: Explained) -> tuple[str, bool, bool, date]:
    owed = one.obligation
    due_on = owed.due_on if owed else None
    return one.system, owed is None, due_on is None, due_on or date.max
