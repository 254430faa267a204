"""Taking one change of a site's file back, which is a change itself."""

from collections.abc import Callable
from datetime import date, datetime

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.imports.cells import Fault
from registry.privacy import WHERE, changes, proposes, require, sees_change
from registry.records.changes import Change, Viewer
from registry.records.places import Site
from registry.services.add_part import FIRST
from registry.services.edit_site import ACT, after_edit
from registry.services.file_fields import FILE_FIELDS, RECORDS, read_text
from registry.services.seen_site import seen_site
from registry.store import Author, Session, file_values, history, undoing
from registry.store.locks import lock_site


def kinds_to_edit(viewer: Viewer) -> frozenset[str]:
    """Return the kinds of rows of which the viewer may change or propose a field."""
    return frozenset(
        kind
        for kind, record in RECORDS.items()
        if any(
            changes(viewer.role, record, one) or proposes(viewer.role, record, one)
            for one in FILE_FIELDS[kind]
        )
    )


def can_undo(viewer: Viewer, change: Change) -> bool:
    """Tell whether a line of the history is of a field that the viewer may set back."""
    if is_addition(change):
        return sees_change(viewer, change) and changes(
            viewer.role, RECORDS[change.kind], FIRST[change.kind]
        )
    if change.kind not in RECORDS or change.field not in FILE_FIELDS[change.kind]:
        return False
    return sees_change(viewer, change) and changes(viewer.role, RECORDS[change.kind], change.field)


def undo_change(
    session: Session,
    viewer: Viewer,
    change_id: int,
    now: datetime,
    today: Callable[[str], date],
    *,
    although: bool = False,
) -> Change:
    """Set a field back to what it was before one change, and return that change.

    A position is set back together with how it was known.

    Parameters
    ----------
    although
        Set it back although the field changed again since.

    Raises
    ------
    AccessError
        If the role changes no site files.
    ConflictError
        If the field changed again since.
    NotFoundError
        If there is no such change, or it is not the viewer's to take back.
    RangeError
        If what stood there before cannot be read back exactly.
    """
    require(viewer, ACT)
    line = history.line_of(session, change_id)
    if line is None or line.site_id is None or not can_undo(viewer, line):
        raise NotFoundError("There is no such change, or it is not for your sign-in to take back.")
    site = seen_site(session, viewer, line.site_id)
    if site.merged_into_id is not None:
        raise NotFoundError(
            f"Record {site.key} was merged into another. Take the merge back first."
        )
    lock_site(session, site.id)
    if is_addition(line):
        return _take_away(session, viewer, site, line, now, today)
    together = [one for one in _made_together(session, line) if can_undo(viewer, one)]
    values = {}
    for one in together:
        kept = file_values.values_of(session, one.kind, int(one.row_id), [one.field])[one.field]
        stands = file_values.said_of(one.field, kept)
        if stands != one.after and not although:
            raise ConflictError(_changed_again(session, one, stands))
        values[one.field] = _value_before(one)
    by = Author(viewer.name, now, f"undo of change {line.id}")
    changed = file_values.put_values(session, site.id, line.kind, int(line.row_id), values, by)
    if not changed:
        raise ConflictError("Nothing to take back: the field is as it was before that change.")
    after_edit(session, site, changed, now, today)
    return line


def is_addition(change: Change) -> bool:
    """Tell whether a line of the history says that a part of a site's file was added."""
    return (
        change.kind in FIRST
        and change.field == change.kind
        and not change.before
        and change.after.startswith("added")
    )


def _take_away(
    session: Session,
    viewer: Viewer,
    site: Site,
    line: Change,
    now: datetime,
    today: Callable[[str], date],
) -> Change:
    """Take a part away that was added; one that was changed since, or that is used, stays."""
    by = Author(viewer.name, now, f"undo of change {line.id}")
    why = undoing.take_away(session, line, by)
    if why:
        raise RangeError(f"The {line.kind} stays: {why}.")
    after_edit(session, site, ["position"], now, today)
    return line


def _made_together(session: Session, line: Change) -> list[Change]:
    if line.field not in WHERE or line.site_id is None:
        return [line]
    return [
        one
        for one in history.history_of(session, line.site_id)
        if one.field in WHERE
        and (one.kind, one.row_id, one.at, one.who) == (line.kind, line.row_id, line.at, line.who)
    ]


def _value_before(line: Change) -> object:
    value = read_text(FILE_FIELDS[line.kind][line.field], line.before)
    if isinstance(value, Fault) or file_values.said_of(line.field, value) != line.before:
        raise RangeError(
            f"What stood in {FILE_FIELDS[line.kind][line.field].label} before cannot be read back "
            "exactly. Type it in on the page instead."
        )
    return value


def _changed_again(session: Session, line: Change, stands: str) -> str:
    last = history.last_line(session, line)
    who = f" by {last.who} on {last.at:%Y-%m-%d}" if last and last.id != line.id else ""
    label = FILE_FIELDS[line.kind][line.field].label
    return (
        f"{label} was changed again{who} and is now “{stands}”. "
        "Confirm that it is to be set back all the same, or leave it."
    )
