"""Features of a collection, a page at a time in the order of their ids, on both databases."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, SQLColumnExpression, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from registry.due.lateness import days_overdue, share_passed
from registry.errors import RangeError
from registry.records.due_rows import DueFilter
from registry.records.features import Feature, FeatureQuery, Value
from registry.records.places import LonLat
from registry.store.among import among
from registry.store.feature_filter import holds
from registry.store.lateness_sql import overdue
from registry.store.overdue import Rows, in_box, site_scope
from registry.store.replaced import is_replaced
from registry.store.scope import Scope
from registry.store.tables import (
    FloodFactRow,
    JurisdictionRow,
    SiteRow,
    SystemDueRow,
    SystemRow,
    VisitRow,
    VisitTaskRow,
)

type Columns = Mapping[str, SQLColumnExpression[Any]]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a collection's features are: the id, the tables beside the site's, the columns."""

    id: InstrumentedAttribute[Any]
    tables: tuple[tuple[Any, ColumnElement[bool]], ...]
    columns: Columns
    optional: tuple[tuple[Any, ColumnElement[bool]], ...] = field(default=())


_OF_SYSTEM = (SystemRow, SystemRow.site_id == SiteRow.id)
_SITE: Columns = {"site": SiteRow.key, "jurisdiction": JurisdictionRow.name}
_FLOOD = (FloodFactRow, FloodFactRow.site_id == SiteRow.id)

SOURCES = {
    "systems": Source(
        SystemRow.id,
        (_OF_SYSTEM,),
        {
            **_SITE,
            "system_key": SystemRow.key,
            **{
                name: getattr(SystemRow, name)
                for name in (
                    "kind", "permit_no", "permit_status", "rule_set", "design_flow_gpd",
                    "bedrooms", "people", "installed_on",
                )
            },
            **{
                name: getattr(SiteRow, name)
                for name in (
                    "address", "town", "parcel", "position_source", "position_accuracy_m",
                    "active", "owner_name", "owner_phone", "owner_email", "owner_address",
                    "access_note", "note", "water_available_gal", "occupied_share",
                )
            },
        },
    ),
    "overdue": Source(
        SystemDueRow.system_id,
        (
            (SystemDueRow, SystemDueRow.site_id == SiteRow.id),
            (SystemRow, SystemRow.id == SystemDueRow.system_id),
        ),
        {
            **_SITE,
            "kind": SystemRow.kind,
            "task": SystemDueRow.task,
            "due_on": SystemDueRow.due_on,
            "in_hazard_area": FloodFactRow.in_hazard_area,
            "below_bfe": FloodFactRow.below_bfe,
            "counted_from": SystemDueRow.counted_from,
        },
        (_FLOOD,),
    ),
    "flood-flags": Source(
        FloodFactRow.site_id,
        (_FLOOD,),
        {
            **_SITE,
            **{
                name: getattr(FloodFactRow, name)
                for name in (
                    "zone", "subtype", "in_hazard_area", "near_edge", "edge_m", "bfe_ft",
                    "bfe_datum", "bfe_method", "below_bfe", "lowest_freeboard_ft",
                    "lowest_component", "unknown_why",
                )
            },
        },
    ),
    "visits": Source(
        VisitRow.id,
        ((VisitRow, VisitRow.site_id == SiteRow.id),),
        {
            **_SITE,
            "on_date": VisitRow.on_date,
            "technician": VisitRow.technician,
            "outcome": VisitRow.outcome,
            "visit_note": VisitRow.note,
        },
    ),
}  # fmt: skip
"""Collection → where it is read; columns that are not here are worked out after reading."""


def features(
    session: Session,
    scope: Scope,
    collection: str,
    names: Iterable[str],
    asked: FeatureQuery,
    moment: str,
    on_date: date,
) -> list[Feature]:
    """Return features of a collection in the order of their ids, at most ``asked.limit``.

    Parameters
    ----------
    session
        A session that reads.
    scope
        Whose rows.
    collection
        One of ``SOURCES``.
    names
        The columns that are read; no other leaves the database.
    asked
        Which features.
    moment
        The column that a span of dates is about, "" = none.
    on_date
        The date on which something is overdue.

    Raises
    ------
    RangeError
        If ``asked.after`` is no id of this collection.
    """
    source = SOURCES[collection]
    question = _question(session, scope, collection, names, on_date).order_by(source.id)
    question = _narrowed(session, question, source, asked, moment).limit(asked.limit)
    return _read(session, collection, question, list(names), on_date)


def feature(
    session: Session,
    scope: Scope,
    collection: str,
    names: Iterable[str],
    feature_id: str,
    on_date: date,
) -> Feature | None:
    """Return one feature of a collection, None if the scope has none with that id."""
    source = SOURCES[collection]
    wanted = _typed(source, feature_id)
    if wanted is None:
        return None
    question = _question(session, scope, collection, names, on_date).where(source.id == wanted)
    found = _read(session, collection, question, list(names), on_date)
    return found[0] if found else None


def _question(
    session: Session, scope: Scope, collection: str, names: Iterable[str], on_date: date
) -> Rows:
    source = SOURCES[collection]
    read = [source.columns[one] for one in _read_columns(source, names)]
    question: Rows = select(source.id, SiteRow.lon, SiteRow.lat, *read).select_from(SiteRow)
    question = question.join(JurisdictionRow, JurisdictionRow.id == SiteRow.jurisdiction_id)
    for table, on in source.tables:
        question = question.join(table, on)
    for table, on in source.optional:
        question = question.join(table, on, isouter=True)
    question = question.where(*site_scope(session, scope, DueFilter()))
    if collection == "overdue":
        late = overdue(session, SystemDueRow.due_on, SystemDueRow.grace_days, on_date)
        return question.where(late)
    return question.where(~is_replaced(VisitRow.id)) if collection == "visits" else question


def _read_columns(source: Source, names: Iterable[str]) -> list[str]:
    wanted = set(names)
    if "share_passed" in wanted:
        wanted |= {"counted_from", "due_on"}
    if "days_overdue" in wanted:
        wanted |= {"due_on"}
    return [name for name in source.columns if name in wanted]


def _narrowed(
    session: Session, question: Rows, source: Source, asked: FeatureQuery, moment: str
) -> Rows:
    for name, value in asked.equal.items():
        question = question.where(source.columns[name] == value)
    if asked.where is not None:
        question = question.where(holds(session, asked.where, source.columns))
    if moment and asked.has_dates:
        at = source.columns[moment]
        if asked.first is not None:
            question = question.where(or_(at.is_(None), at >= asked.first))
        if asked.last is not None:
            question = question.where(or_(at.is_(None), at <= asked.last))
    if asked.after:
        after = _typed(source, asked.after)
        if after is None:
            raise RangeError("That address of a further page is not complete. Start at the first.")
        question = question.where(source.id > after)
    box = asked.box
    if box is not None and box.west > box.east:
        return question.where(
            or_(SiteRow.lon >= box.west, SiteRow.lon <= box.east),
            SiteRow.lat.between(box.south, box.north),
        )
    return question if box is None else in_box(session, question, box)


def _typed(source: Source, feature_id: str) -> Any:  # noqa: ANN401 - an id of either kind
    if source.id.type.python_type is str:
        return feature_id.replace("\0", "")
    whole = feature_id.isascii() and feature_id.isdigit() and len(feature_id) < 16
    return int(feature_id) if whole else None


def _read(
    session: Session, collection: str, question: Rows, names: list[str], on_date: date
) -> list[Feature]:
    read = _read_columns(SOURCES[collection], names)
    rows = session.execute(question).all()
    done = _tasks(session, [row[0] for row in rows]) if "tasks" in names else {}
    found = []
    for row in rows:
        values: dict[str, Value] = dict(zip(read, row[3:], strict=True))
        due_on: Any = values.get("due_on")
        if "days_overdue" in names:
            values["days_overdue"] = days_overdue(due_on, on_date)
        if "share_passed" in names:
            counted_from: Any = values["counted_from"]
            share = share_passed(counted_from, due_on, on_date)
            values["share_passed"] = None if share is None else round(share, 3)
        if "tasks" in names:
            values["tasks"] = done.get(row[0], "")
        place = None if row[1] is None or row[2] is None else LonLat(row[1], row[2])
        found.append(Feature(row[0], place, {name: values[name] for name in names}))
    return found


def _tasks(session: Session, visit_ids: list[str]) -> dict[str, str]:
    asked = (
        select(VisitTaskRow.visit_id, VisitTaskRow.task)
        .where(among(session, VisitTaskRow.visit_id, visit_ids))
        .distinct()
        .order_by(VisitTaskRow.visit_id, VisitTaskRow.task)
    )
    done: dict[str, list[str]] = {}
    for visit_id, task in session.execute(asked):
        done.setdefault(visit_id, []).append(task)
    return {visit_id: "; ".join(tasks) for visit_id, tasks in done.items()}
