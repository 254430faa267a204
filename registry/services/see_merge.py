"""Two records of one site side by side: what is to be chosen, and what is offered."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from registry.errors import RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.places import Site
from registry.records.systems import System
from registry.services.file_fields import FILE_FIELDS
from registry.services.seen_site import seen_site
from registry.store import Session, file_values, proposals, systems

ACT = "merge two records"
KEPT, OTHER, BOTH = "kept", "other", "both"
TAKE, LEAVE = "take", "leave"
LEFT_OUT = frozenset({"active", "jurisdiction", "position_source", "position_accuracy_m"})
"""Fields that are not chosen by themselves: the place goes with how it is known."""
TOGETHER = ("hazards", "access_note", "gate_note", "private_note", "note")
"""Fields of which both can hold, one after the other: a hazard of either record stays known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to choose: ``kept`` and ``other`` are what each record says, ``words`` the answers.

    ``chosen`` is what holds unless a person says otherwise.
    """

    key: str
    label: str
    kept: str
    other: str
    words: tuple[str, ...]
    chosen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeView:
    """Two records side by side.

    ``same`` are systems of the other record that are systems of the one that holds. ``seen`` tells
    later whether somebody changed one of them meanwhile.
    """

    kept: Site
    other: Site
    kept_systems: tuple[System, ...]
    other_systems: tuple[System, ...]
    same: dict[int, int]
    choices: tuple[Choice, ...]
    seen: str


def see_merge(
    session: Session,
    viewer: Viewer,
    kept_id: int,
    other_id: int,
    same: Mapping[int, int] | None = None,
) -> MergeView:
    """Return two records with all that is to be chosen between them.

    Parameters
    ----------
    same
        Systems of the other record → the system of the one that holds which each is; None = as it
        looks, a system that is not named is one of its own.

    Raises
    ------
    AccessError
        If the role may not merge.
    NotFoundError
        If one of them is not the viewer's.
    RangeError
        If they cannot be one site, with what is to be done first.
    """
    require(viewer, ACT)
    kept, other = seen_site(session, viewer, kept_id), seen_site(session, viewer, other_id)
    _refuse(session, kept, other)
    mine = tuple(systems.systems_of_site(session, kept.id))
    theirs = tuple(systems.systems_of_site(session, other.id))
    pairs = _alike(mine, theirs) if same is None else dict(same)
    if not set(pairs) <= {one.id for one in theirs} or not set(pairs.values()) <= {
        one.id for one in mine
    }:
        raise RangeError("Say of each system which one of this site it is, or none.")
    choices = _of_site(session, kept, other)
    for one in theirs:
        if one.id in pairs:
            choices += _of_system(session, one, pairs[one.id], mine)
    return MergeView(
        kept=kept,
        other=other,
        kept_systems=mine,
        other_systems=theirs,
        same=pairs,
        choices=tuple(choices),
        seen=_digest(session, kept, other, mine, theirs),
    )


def _refuse(session: Session, kept: Site, other: Site) -> None:
    """Say what hinders two records from being one site."""
    if kept.id == other.id:
        raise RangeError("These are one record. Name two.")
    for one in (kept, other):
        if one.merged_into_id is not None:
            raise RangeError(f"Record {one.key} was merged already. Look at the list again.")
    if kept.firm_id != other.firm_id:
        raise RangeError("The records belong to two firms. Each firm keeps its own.")
    if kept.jurisdiction_id != other.jurisdiction_id:
        raise RangeError(
            "The records lie in two jurisdictions. Correct that of the wrong one first."
        )
    if proposals.open_proposals(session, other.id):
        raise RangeError(f"Values wait to be settled at {other.key}. Settle them first.")


def _alike(mine: tuple[System, ...], theirs: tuple[System, ...]) -> dict[int, int]:
    """Return which systems look like one: the only ones, or those with one permit."""
    if len(mine) == len(theirs) == 1:
        return {theirs[0].id: mine[0].id}
    permits = {one.permit_no: one.id for one in mine if one.permit_no}
    return {one.id: permits[one.permit_no] for one in theirs if one.permit_no in permits}


def _of_site(session: Session, kept: Site, other: Site) -> list[Choice]:
    names = [name for name in FILE_FIELDS["site"] if name not in LEFT_OUT]
    told = [_said(session, "site", one.id, names) for one in (kept, other)]
    for site, said in zip((kept, other), told, strict=True):
        if said["position"] and site.position_source:
            said["position"] += f" ({site.position_source})"
    return _choices("", "site", names, told[0], told[1])


def _of_system(
    session: Session, theirs: System, mine_id: int, mine: tuple[System, ...]
) -> list[Choice]:
    names = list(FILE_FIELDS["system"])
    told = [_said(session, "system", one, names) for one in (mine_id, theirs.id)]
    found = _choices(f"{theirs.id}:", "system", names, told[0], told[1])
    (here,) = (one for one in mine if one.id == mine_id)
    kinds = {one.kind for one in here.components}
    for part in theirs.components:
        label = part.label or part.kind.value
        found.append(
            Choice(
                key=f"part:{part.id}",
                label=f"Component {label}",
                kept="left with the record that points on",
                other="taken over",
                words=(LEAVE, TAKE),
                chosen=LEAVE if part.kind in kinds else TAKE,
            )
        )
    return found


def _choices(
    prefix: str, kind: str, names: list[str], kept: dict[str, str], other: dict[str, str]
) -> list[Choice]:
    found = []
    for name in names:
        if kept[name] == other[name]:
            continue
        both = kind == "site" and name in TOGETHER and bool(kept[name] and other[name])
        found.append(
            Choice(
                key=f"{kind}:{prefix}{name}",
                label=FILE_FIELDS[kind][name].label,
                kept=kept[name],
                other=other[name],
                words=(KEPT, OTHER, BOTH) if both else (KEPT, OTHER),
                chosen=BOTH if both else KEPT if _says(name, kept[name]) else OTHER,
            )
        )
    return found


def _says(name: str, said: str) -> bool:
    """Tell whether a value says something: an unknown kind and a whole year are as good as none."""
    nothing = {"kind": "unknown", "occupied_share": "1"}
    return said not in {"", nothing.get(name, "")}


def _said(session: Session, kind: str, row_id: int, names: list[str]) -> dict[str, str]:
    now = file_values.values_of(session, kind, row_id, names)
    return {name: file_values.said_of(name, value) for name, value in now.items()}


def _digest(
    session: Session,
    kept: Site,
    other: Site,
    mine: tuple[System, ...],
    theirs: tuple[System, ...],
) -> str:
    rows = [("site", kept.id), ("site", other.id)]
    rows += [("system", one.id) for one in (*mine, *theirs)]
    rows += [("component", part.id) for one in (*mine, *theirs) for part in one.components]
    said = [_said(session, kind, row_id, list(FILE_FIELDS[kind])) for kind, row_id in rows]
    return hashlib.sha256(json.dumps([rows, said]).encode()).hexdigest()[:16]
