"""Values of a site's file that wait beside those in force: the office says which hold."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from registry.errors import ConflictError, RangeError
from registry.imports.cells import Fault
from registry.privacy import changes, require
from registry.records.changes import Viewer
from registry.records.proposals import Proposal, Why
from registry.services.edit_site import after_edit
from registry.services.file_fields import FILE_FIELDS, RECORDS, read_text
from registry.services.see_day import firm_of
from registry.services.seen_site import seen_site
from registry.services.settle_visit import ACT, Differing, visits_twice
from registry.store import Author, Session, file_values, places, proposals, systems
from registry.store.locks import lock_site

WHY_WORDS = {Why.PROPOSED: "proposed by", Why.CHANGED_MEANWHILE: "written meanwhile by"}
IN_FORCE = "in force"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTwice:
    """One field with the value in force and those that wait, as one thing to settle.

    ``waiting`` are the proposals, in the order of ``differing.values`` after the first.
    """

    differing: Differing
    waiting: tuple[Proposal, ...]


def fields_twice(
    session: Session,
    viewer: Viewer,
    site_id: int,
    when: Callable[[datetime], str] = lambda at: f"{at:%Y-%m-%d %H:%M} UTC",
) -> list[FieldTwice]:
    """Return the fields of a site for which values wait that the viewer may settle.

    Parameters
    ----------
    when
        Gives a moment in words.

    Raises
    ------
    AccessError
        If the role may not settle.
    NotFoundError
        If the site is not the viewer's.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    called = _called(session, site.id)
    waiting = sorted(
        proposals.open_proposals(session, site.id),
        key=lambda one: (one.kind, one.row_id, one.field, one.id),
    )
    found = []
    for (kind, row_id, name), group in groupby(
        waiting, key=lambda one: (one.kind, one.row_id, one.field)
    ):
        ours = tuple(group)
        if not changes(viewer.role, RECORDS[kind], name):
            continue
        now = file_values.said_of(name, file_values.values_of(session, kind, row_id, [name])[name])
        label = FILE_FIELDS[kind][name].label
        of = called.get((kind, row_id), "")
        found.append(
            FieldTwice(
                differing=Differing(
                    key=f"{kind}:{row_id}:{name}",
                    label=f"{label}, {of}" if of else label,
                    values=(now, *(one.value for one in ours)),
                    by=(
                        IN_FORCE,
                        *(f"{WHY_WORDS[one.why]} {one.who}, {when(one.at)}" for one in ours),
                    ),
                ),
                waiting=ours,
            )
        )
    return found


def waits_at(session: Session, viewer: Viewer, site_id: int, today: Callable[[str], date]) -> bool:
    """Tell whether anything of a site waits that the viewer may settle: fields or visits.

    Raises
    ------
    AccessError
        If the role may not settle.
    NotFoundError
        If the site is not the viewer's.
    """
    if fields_twice(session, viewer, site_id):
        return True
    site = seen_site(session, viewer, site_id)
    zone = places.jurisdiction(session, site.jurisdiction_id).time_zone
    return bool(visits_twice(session, viewer, today(zone), site_id))


def settle_fields(
    session: Session,
    viewer: Viewer,
    site_id: int,
    chosen: Mapping[str, int],
    shown: Sequence[str],
    now: datetime,
    today: Callable[[str], date],
) -> int:
    """Let the chosen value of each field hold, and return how many fields were changed.

    Every value stays in the store. A field that is not in ``chosen`` goes on waiting.

    Parameters
    ----------
    chosen
        Which value holds, by the key of the field: 0 is the one in force.
    shown
        The values of the chosen fields as they were shown, all in one list.

    Raises
    ------
    AccessError
        If the role may not settle.
    ConflictError
        If anything of it changed since it was shown.
    NotFoundError
        If the site is not the viewer's.
    RangeError
        If nothing is chosen, or a value cannot hold.
    """
    site = seen_site(session, viewer, site_id)
    lock_site(session, site.id)
    open_now = {one.differing.key: one for one in fields_twice(session, viewer, site.id)}
    if not chosen:
        raise RangeError("Choose what holds.")
    there = [value for key in chosen if key in open_now for value in open_now[key].differing.values]
    if set(chosen) - set(open_now) or there != list(shown):
        raise ConflictError("This changed meanwhile. Look at it again.")
    changed: list[str] = []
    for key, which in chosen.items():
        one = open_now[key]
        if not 0 <= which < len(one.differing.values):
            raise RangeError(f"Choose what holds: {one.differing.label}.")
        changed += _settle(session, viewer, one, which, now)
    after_edit(session, site, changed, now, today)
    return len(changed)


def sites_to_settle(session: Session, viewer: Viewer) -> list[tuple[int, str]]:
    """Return id and number of the firm's sites at which values wait."""
    require(viewer, ACT)
    return proposals.sites_with_proposals(session, firm_of(session, viewer))


def _settle(
    session: Session, viewer: Viewer, one: FieldTwice, which: int, now: datetime
) -> list[str]:
    taken = one.waiting[which - 1] if which else None
    proposals.settle_proposals(
        session, {each.id: each is taken for each in one.waiting}, who=viewer.name, at=now
    )
    if taken is None:
        return []
    value = read_text(FILE_FIELDS[taken.kind][taken.field], taken.value)
    if isinstance(value, Fault):
        raise RangeError(f"{one.differing.label}: {value.wrong}. {value.remedy}.")
    by = Author(viewer.name, now, f"settled; written by {taken.who}")
    return file_values.put_values(
        session, taken.site_id, taken.kind, taken.row_id, {taken.field: value}, by
    )


def _called(session: Session, site_id: int) -> dict[tuple[str, int], str]:
    """Return what rows of a site are called, by kind and id."""
    kept = systems.systems_of_site(session, site_id)
    return {("system", one.id): f"{one.kind.value} {one.key}".strip() for one in kept} | {
        ("component", part.id): part.label or part.kind.value
        for one in kept
        for part in one.components
    }
