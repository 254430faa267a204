"""Working out again what is due, for all sites or only for what a change touches."""

from collections.abc import Collection
from datetime import date

from registry.due.after_flood import AFTER_FLOOD
from registry.due.obligations import obligations
from registry.services.after_flood import flood_blocks
from registry.store import Session, users
from registry.store.due_input import due_input, history, parts, sites_with_agreement_change
from registry.store.due_write import DueDone, begin_writing, end_writing, write_part
from registry.store.rules import rules, task_kinds

COMPUTED_ON = "due computed on"
"""The setting that holds the day on which all due dates were last looked at."""


def recompute_due(
    session: Session,
    today: date,
    site_ids: Collection[int] | None = None,
    tasks: Collection[str] | None = None,
) -> DueDone:
    """Compute obligations again and save what changed.

    Call it with the sites of a visit, of an import or of an edit; with the tasks of changed rules;
    with neither after a change to everything. Due dates are absolute: a new day changes none, see
    ``start_new_day`` for the agreements that begin or end.

    Parameters
    ----------
    today
        Picks the agreements in force; a task that was never done at a system whose day of
        installation is unknown becomes due on the day on which it is first asked for.
    site_ids
        Only these sites; None for all.
    tasks
        Only these tasks; None or empty for all.
    """
    in_force, kinds = rules(session), {one.code: one for one in task_kinds(session)}
    only = frozenset(tasks or ())
    done = DueDone()
    begin_writing(session)
    for part in parts(session, site_ids):
        read = due_input(session, part, today, kinds)
        past = history(session, part, read.systems)
        blocks = obligations(read.systems, past, in_force, kinds, today, only)
        blocks += (
            flood_blocks(session, part, read.systems, past, only) if AFTER_FLOOD in kinds else []
        )
        write_part(session, part, read, blocks, only, done)
    end_writing(session)
    if site_ids is None and not only:
        users.set_setting(session, COMPUTED_ON, today.isoformat())
    return done


def start_new_day(session: Session, today: date) -> DueDone:
    """Compute again only the sites whose agreement began or ended since the last day looked at."""
    last = users.setting(session, COMPUTED_ON)
    if last and last >= today.isoformat():
        return DueDone()
    if not last:
        return recompute_due(session, today)
    touched = sites_with_agreement_change(session, date.fromisoformat(last), today)
    done = recompute_due(session, today, touched) if touched else DueDone()
    users.set_setting(session, COMPUTED_ON, today.isoformat())
    return done
