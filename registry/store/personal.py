"""Everything kept about one person, found by what they are called; and blanking it.

A person is known by exact words: a name, a phone, an e-mail address. An owner's are looked for at
the sites that are or were theirs and nowhere else: somebody of the same name stays untouched.
Every table that hangs on a site takes part without being named here, so a new one does too.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import JSON, ColumnElement, Select, Text, cast, func, or_, select, update
from sqlalchemy import Table as StoredTable
from sqlalchemy.orm import Session

from registry.store.append_only import APPEND_ONLY, PERSONAL, erase
from registry.store.tables import (
    Base,
    ChangeRow,
    DayRow,
    FindingMendedRow,
    FindingRow,
    ForeignRow,
    GateVisitRow,
    LetterRow,
    MatchOfferRow,
    PhotoRow,
    PhotoTakenBackRow,
    ReportSentRow,
    RouteRow,
    SiteMergeRow,
    SiteRow,
    VisitRow,
)

ERASED = "[erased]"
"""What stands in place of a word or a text that was erased; it tells that something stood there."""
OWNER = ("owner_name", "owner_phone", "owner_email", "owner_address")
NAMES = OWNER[:3]
SHORTEST = 4
"""Letters of the shortest word that is looked for inside longer texts."""
OF_OTHERS_TOO = frozenset({"change", "letter", "foreign_row"})
"""Tables whose rows at a site may mean former owners of it, or those of a site like it."""
KEYS = frozenset({"id", "key", "digest", "preview_digest", "kind", "source_key", "secret_hash"})
"""Columns that name rows and never people."""


@dataclass(frozen=True, slots=True)
class Owner:
    """An owner by the words that mean them: sites that are theirs, and sites that were.

    ``several`` = owners of different names answer to what was asked.
    """

    words: tuple[str, ...]
    site_ids: tuple[int, ...]
    former_site_ids: tuple[int, ...]
    several: bool = False

    @property
    def all_site_ids(self) -> tuple[int, ...]:
        """The sites that are or were theirs."""
        return tuple(sorted({*self.site_ids, *self.former_site_ids}))


def find_owner(session: Session, said: str, firm_id: int | None) -> Owner:
    """Return the owner whose name, phone or e-mail address this is, in any case of letters."""
    wanted = said.strip().lower()
    its = select(SiteRow.id, *(getattr(SiteRow, one) for one in NAMES))
    if firm_id is not None:
        its = its.where(SiteRow.firm_id == firm_id)
    now = session.execute(
        its.where(or_(*(func.lower(getattr(SiteRow, one)) == wanted for one in NAMES)))
    ).all()
    past = select(ChangeRow.site_id).where(
        ChangeRow.field.in_(NAMES),
        or_(func.lower(ChangeRow.before) == wanted, func.lower(ChangeRow.after) == wanted),
    )
    written = select(LetterRow.site_id).where(func.lower(LetterRow.to_name) == wanted)
    was = select(SiteRow.id).where(or_(SiteRow.id.in_(past), SiteRow.id.in_(written)))
    if firm_id is not None:
        was = was.where(SiteRow.firm_id == firm_id)
    site_ids = {row.id for row in now}
    words = {said.strip(), *(text for row in now for text in row[1:] if text)}
    return Owner(
        tuple(sorted(words, key=lambda one: (-len(one), one))),
        tuple(sorted(site_ids)),
        tuple(sorted({*session.scalars(was)} - site_ids)),
        several=len({row.owner_name.lower() for row in now}) > 1,
    )


def held(session: Session, owner: Owner) -> dict[str, list[dict[str, Any]]]:
    """Return by table what is kept about an owner.

    All rows that hang on a site that is theirs; of a site that was theirs, and of what came before
    them, only rows that name them.
    """
    found: dict[str, list[dict[str, Any]]] = {}
    for table, condition in _of_sites(owner.site_ids):
        rows = [dict(row) for row in session.execute(_asked(table, condition)).mappings()]
        if table.name in OF_OTHERS_TOO:
            rows = [one for one in rows if not _is_of_others(one) or _names(one, owner.words)]
        if rows:
            found.setdefault(table.name, []).extend(rows)
    for table, condition in _of_sites(owner.former_site_ids):
        named = [
            dict(row)
            for row in session.execute(_asked(table, condition)).mappings()
            if _names(row, owner.words)
        ]
        if named:
            found.setdefault(table.name, []).extend(named)
    return found


def erase_owner(session: Session, owner: Owner) -> dict[str, int]:
    """Blank what names an owner, in every table; return how many rows were changed, by table.

    At their sites the owner's fields and the private note are emptied. Letters lose name, address
    and text. In all other texts, former values in the history among them, the words that mean
    them give way to ``ERASED``. Readings, dates and what was done stay as they are.
    """
    changed: dict[str, int] = {}
    _count(changed, "site", _empty_sites(session, owner))
    _count(changed, "letter", _empty_letters(session, owner))
    _count(changed, "change", _empty_history(session, owner))
    _count(changed, "site_merge", _empty_merges(session, owner))
    for table, condition in _of_sites(owner.all_site_ids):
        _count(changed, table.name, _replace(session, table, condition, owner.words))
    return changed


def _is_of_others(row: dict[str, Any]) -> bool:
    """Tell whether a letter or a line of the history may mean an owner before or after them."""
    return row.get("field", "owner_name") in OWNER and row.get("to_name") != "The owner"


def _count(changed: dict[str, int], table: str, number: int) -> None:
    if number:
        changed[table] = changed.get(table, 0) + number


def _empty_sites(session: Session, owner: Owner) -> int:
    if not owner.site_ids:
        return 0
    session.execute(
        update(SiteRow)
        .where(SiteRow.id.in_(owner.site_ids))
        .values(dict.fromkeys((*OWNER, "private_note"), ""))
    )
    return len(owner.site_ids)


def _empty_letters(session: Session, owner: Owner) -> int:
    theirs = [one.lower() for one in owner.words]
    its = LetterRow.site_id.in_(owner.all_site_ids) & func.lower(LetterRow.to_name).in_(theirs)
    values = {"to_name": ERASED, "to_address": ERASED, "body": ERASED}
    return erase(session, update(LetterRow).where(its).values(values))


def _empty_history(session: Session, owner: Owner) -> int:
    """Erase their former addresses and private notes, which hold no word that means them."""
    number = 0
    for name in ("before", "after"):
        column = getattr(ChangeRow, name)
        its = ChangeRow.site_id.in_(owner.site_ids) & (column != "") & (column != ERASED)
        fields = ChangeRow.field.in_(("owner_address", "private_note"))
        number += erase(session, update(ChangeRow).where(its, fields).values({name: ERASED}))
    return number


def _empty_merges(session: Session, owner: Owner) -> int:
    """Erase from what taking a merge back would restore what holds no word that means them."""
    number = 0
    row = SiteMergeRow
    for one in session.scalars(select(row).where(row.site_id.in_(owner.site_ids))).all():
        sites = {
            key: {
                name: ["", ""] if name in {"owner_address", "private_note"} else cell
                for name, cell in cells.items()
            }
            for key, cells in one.rows.get("site", {}).items()
        }
        if sites != one.rows.get("site", {}):
            one.rows = {**one.rows, "site": sites}
            number += 1
    session.flush()
    return number


def _replace(
    session: Session, table: StoredTable, condition: ColumnElement[bool], words: Iterable[str]
) -> int:
    """Put ``ERASED`` in place of words in the texts of some rows; return how many rows changed."""
    texts = [
        one for one in table.columns if isinstance(one.type, Text | JSON) and one.name not in KEYS
    ]
    if table.name in APPEND_ONLY:
        texts = [one for one in texts if one.name in PERSONAL[table.name]]
    long = [one for one in words if len(one) >= SHORTEST]
    if not texts or not long:
        return 0
    keys = list(table.primary_key.columns)
    number = 0
    for row in session.execute(select(*keys, *texts).where(condition)).mappings().all():
        new = {one.name: without(row[one.name], long) for one in texts}
        new = {name: value for name, value in new.items() if value != row[name]}
        if not new:
            continue
        here = update(table).where(*(one == row[one.name] for one in keys)).values(new)
        if table.name in APPEND_ONLY:
            erase(session, here)
        else:
            session.execute(here)
        number += 1
    return number


def without(value: Any, words: list[str], instead: str = ERASED) -> Any:  # noqa: ANN401 - any JSON
    """Return a text or a JSON value without the words, in any case of letters."""
    if isinstance(value, str):
        for word in words:
            at = value.lower().find(word.lower())
            while at >= 0:
                value = value[:at] + instead + value[at + len(word) :]
                at = value.lower().find(word.lower(), at + len(instead))
        return value
    if isinstance(value, dict):
        return {name: without(one, words, instead) for name, one in value.items()}
    if isinstance(value, list):
        return [without(one, words, instead) for one in value]
    return value


def _names(row: Any, words: Iterable[str]) -> bool:  # noqa: ANN401 - a row of a database
    said = json.dumps(dict(row), ensure_ascii=False, default=str).lower()
    return any(one.lower() in said for one in words if len(one) >= SHORTEST)


def _asked(table: StoredTable, condition: ColumnElement[bool]) -> "Select[Any]":
    bodies = {"body"} if table.name == "photo_content" else set()
    return select(*(one for one in table.columns if one.name not in bodies)).where(condition)


def _of_sites(site_ids: tuple[int, ...]) -> Iterator[tuple[StoredTable, ColumnElement[bool]]]:
    """Yield each table that hangs on sites, with the condition that its rows hang on these."""
    if not site_ids:
        return
    for table in Base.metadata.sorted_tables:
        if table.name in {"private_read", "sign_in_try", "request_count"}:
            continue
        if table.name == "site":
            yield table, table.c.id.in_(site_ids)
        elif "site_id" in table.c:
            yield table, table.c.site_id.in_(site_ids)
    waiting = select(MatchOfferRow.foreign_id).where(MatchOfferRow.site_id.in_(site_ids))
    visits = select(VisitRow.id).where(VisitRow.site_id.in_(site_ids))
    findings = select(FindingRow.id).where(FindingRow.site_id.in_(site_ids))
    photos = select(PhotoRow.id).where(PhotoRow.site_id.in_(site_ids))
    for row, condition in (
        (ForeignRow, ForeignRow.site_id.is_(None) & ForeignRow.id.in_(waiting)),
        (GateVisitRow, GateVisitRow.visit_id.in_(visits)),
        (ReportSentRow, ReportSentRow.visit_id.in_(visits)),
        (FindingMendedRow, FindingMendedRow.finding_id.in_(findings)),
        (PhotoTakenBackRow, PhotoTakenBackRow.photo_id.in_(photos)),
        (RouteRow, _mentions(RouteRow.body, site_ids)),
        (DayRow, _mentions(DayRow.body, site_ids)),
    ):
        yield Base.metadata.tables[row.__tablename__], condition


def _mentions(body: Any, site_ids: tuple[int, ...]) -> ColumnElement[bool]:  # noqa: ANN401
    """Tell whether the JSON of a planned day names one of some sites."""
    said = func.replace(cast(body, Text), " ", "")
    return or_(*(said.like(f'%"site_id":{one}{end}%') for one in site_ids for end in (",", "}")))
