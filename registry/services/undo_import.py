"""Taking a whole import back within the history, and the list of imports."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from registry.errors import RangeError
from registry.privacy import may, require
from registry.records.changes import Viewer
from registry.records.foreign_rows import ForeignSite, ForeignState
from registry.services.locate_sites import ACT
from registry.services.take_back_reports import runs_of, take_back_run
from registry.services.take_in_reports import ACT as TAKES_IN
from registry.services.take_in_reports import KIND as REPORTS
from registry.store import Author, Session, foreign_rows, sites, undoing
from registry.store.import_runs import ImportRun, import_run, import_runs, note_undone
from registry.store.scope import scope_of

UNDONE_KINDS = frozenset({"sites", "systems", "components", "agreements", "conditions"})
STAYS = {
    "readings": "Visits and readings are only ever added to; a wrong one is corrected by a new one",
    "windows": "Hours that an import replaced are not kept. Import the old file again",
    "flood": "A flood layer is replaced by importing another",
    "licences": "A list of licences is brought up to date by importing its file again",
    "parcels": "A layer of places is replaced by importing its file again",
}
MOST_NAMED = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Something that stays when an import is taken back, and why."""

    site: str
    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoPlan:
    """What taking an import back does: counts, and what stays with its reasons.

    ``kept`` names at most ``MOST_NAMED``; ``n_kept`` counts all. ``touched`` are the sites that
    were changed by it.
    """

    run: ImportRun
    n_fields: int
    n_rows: int
    n_waiting: int
    n_kept: int
    kept: tuple[Kept, ...]
    touched: tuple[int, ...] = ()


def listed_imports(session: Session, viewer: Viewer, limit: int = 30) -> list[ImportRun]:
    """Return the last imports into the sites that a viewer sees, newest first.

    Raises
    ------
    AccessError
        If the role may not decide on imports.
    """
    require(viewer, ACT)
    wrote = undoing.imports_at(session, scope_of(viewer))
    wrote |= foreign_rows.imports_of(session, viewer.firm_id)
    if may(viewer, TAKES_IN):
        wrote |= {(one.at, one.file_name) for one in runs_of(session, viewer, limit)}
    return [one for one in import_runs(session, 10 * limit) if (one.at, one.file_name) in wrote][
        :limit
    ]


def kind_of(session: Session, run_id: int) -> str:
    """Return what an import brought in.

    Raises
    ------
    NotFoundError
        If there is no such import.
    """
    return import_run(session, run_id).kind


def undo_plan(session: Session, viewer: Viewer, run_id: int) -> UndoPlan:
    """Return what taking an import back would do; nothing is written.

    Raises
    ------
    AccessError
        If the role may not decide on imports.
    NotFoundError
        If there is no such import.
    RangeError
        If imports of its kind are not taken back, or it was already.
    """
    if kind_of(session, run_id) == REPORTS:
        return _of_reports(*take_back_run(session, viewer, run_id, None))
    run, found, waiting = _found(session, viewer, run_id)
    return _told(session, run, found, waiting)


def undo_import(session: Session, viewer: Viewer, run_id: int, now: datetime) -> UndoPlan:
    """Take an import back: all that was not changed since; say what stays.

    Raises
    ------
    AccessError, NotFoundError, RangeError
        As ``undo_plan``.
    """
    if kind_of(session, run_id) == REPORTS:
        return _of_reports(*take_back_run(session, viewer, run_id, now))
    run, found, waiting = _found(session, viewer, run_id)
    by = Author(viewer.name, now, f"import {run.id} taken back")
    touched = undoing.put_back(session, found, by, by.source)
    stay = {one.site_id for one, _ in found.kept}
    foreign_rows.forget(session, [one.id for one in waiting if one.site_id not in stay])
    note_undone(session, run.id, now, viewer.name)
    return _told(session, run, found, waiting, touched=tuple(touched))


def _of_reports(run: ImportRun, number: int, touched: list[int]) -> UndoPlan:
    return UndoPlan(
        run=run,
        n_fields=0,
        n_rows=number,
        n_waiting=0,
        n_kept=0,
        kept=(),
        touched=tuple(touched),
    )


def _found(
    session: Session, viewer: Viewer, run_id: int
) -> tuple[ImportRun, undoing.Undo, list[ForeignSite]]:
    require(viewer, ACT)
    run = import_run(session, run_id)
    if "undone_at" in run.counts:
        raise RangeError(f"Import {run.id} was taken back already, on {run.counts['undone_at']}.")
    if run.kind not in UNDONE_KINDS:
        why = STAYS.get(run.kind, f"Imports of {run.kind} are replaced by importing again")
        raise RangeError(f"{why}.")
    came = foreign_rows.rows_of_import(session, run.at, run.file_name)
    if viewer.firm_id is not None:
        came = [one for one in came if one.firm_id == viewer.firm_id]
    decided: dict[tuple[datetime, str, str], set[int]] = {}
    for one in came:
        if one.decided_at is not None and one.site_id is not None:
            spot = (one.decided_at, one.decided_by, one.file_name)
            decided.setdefault(spot, set()).add(one.site_id)
    wrote = {**decided, (run.at, run.who, run.file_name): None}
    lines = undoing.lines_of(session, scope_of(viewer), wrote)
    if not lines and not came:
        raise RangeError(f"Import {run.id} changed nothing that you see; nothing is to be undone.")
    return run, undoing.plan_undo(session, lines), came


def _told(
    session: Session,
    run: ImportRun,
    found: undoing.Undo,
    waiting: list[ForeignSite],
    touched: tuple[int, ...] = (),
) -> UndoPlan:
    named = found.kept[:MOST_NAMED]
    known = {
        one.id: one.key for one in sites.sites(session, {line.site_id or 0 for line, _ in named})
    }
    return UndoPlan(
        run=run,
        n_fields=len(found.fields),
        n_rows=len(found.added),
        n_waiting=Counter(one.state for one in waiting)[ForeignState.OPEN],
        n_kept=len(found.kept),
        kept=tuple(
            Kept(site=known.get(line.site_id or 0, ""), what=_what(line), why=why)
            for line, why in named
        ),
        touched=touched,
    )


def _what(line: undoing.Line) -> str:
    name = line.field.replace("_", " ")
    return f"the {line.kind.replace('_', ' ')} that was added" if line.is_added else name
