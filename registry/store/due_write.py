"""Saving computed obligations: set-based, unchanged rows untouched, what is no longer owed gone."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from sqlalchemy import MetaData, delete, exists, select, text
from sqlalchemy.orm import Mapped, Session, mapped_column
from sqlalchemy.schema import CreateTable

from registry.due.columns import Days, ObligationBlock
from registry.store.among import among
from registry.store.bulk import insert_columns
from registry.store.due_input import DueInput, Part
from registry.store.tables import Base, ObligationRow, SystemDueRow
from registry.store.tables.base import Id

DATES = ("last_done", "counted_from", "due_on")
TEMPORARY = {"prefixes": ["TEMPORARY"]}
LATE = {
    "sqlite": "date(o.due_on, '+' || o.grace_days || ' days')",
    "postgresql": "o.due_on + o.grace_days",
}
IS_NOT = {"sqlite": "IS NOT", "postgresql": "IS DISTINCT FROM"}


class Scratch(Base):
    """Tables of one connection only; they are in no migration."""

    __abstract__ = True
    metadata = MetaData()


class FreshRow(Scratch):
    """One obligation as just computed."""

    __tablename__ = "due_fresh"
    __table_args__ = TEMPORARY
    system_id: Mapped[int] = mapped_column(Id, primary_key=True, autoincrement=False)
    task: Mapped[str] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(Id)
    firm_id: Mapped[int] = mapped_column(Id)
    jurisdiction_id: Mapped[int] = mapped_column(Id)
    rule_code: Mapped[str]
    source: Mapped[str]
    last_done: Mapped[date | None]
    counted_from: Mapped[date | None]
    due_on: Mapped[date | None]
    estimated: Mapped[bool]
    grace_days: Mapped[int]
    horizon_days: Mapped[int]
    reason: Mapped[str]


class ScopeRow(Scratch):
    """One system that is computed, with what is copied of it: map cell, town, kind."""

    __tablename__ = "due_scope"
    __table_args__ = TEMPORARY
    system_id: Mapped[int] = mapped_column(Id, primary_key=True, autoincrement=False)
    cell: Mapped[int | None] = mapped_column(Id)
    town: Mapped[str]
    kind: Mapped[str]


class CellRow(Scratch):
    """One map cell whose counts change."""

    __tablename__ = "due_cell"
    __table_args__ = TEMPORARY
    cell: Mapped[int] = mapped_column(Id, primary_key=True, autoincrement=False)


@dataclass(slots=True)
class DueDone:
    """What computing again did: obligations that were written and that are no longer owed."""

    systems: int = 0
    obligations: int = 0
    written: int = 0
    removed: int = 0


@cache
def sql_named(name: str) -> str:
    """Return the text of one of the store's longer statements."""
    return files("registry.store").joinpath("sql", f"{name}.sql").read_text("utf-8")


def begin_writing(session: Session) -> None:
    """Make the temporary tables, empty; on PostgreSQL only one session computes at a time."""
    for kind in (FreshRow, ScopeRow, CellRow):
        session.execute(CreateTable(kind.__table__, if_not_exists=True))  # type: ignore[arg-type]  # a mapped class has a Table
        session.execute(delete(kind))
    if _is_postgres(session):
        session.execute(text("LOCK TABLE due_grid IN SHARE ROW EXCLUSIVE MODE"))


def write_part(
    session: Session,
    part: Part,
    read: DueInput,
    blocks: list[ObligationBlock],
    only: Collection[str],
    done: DueDone,
) -> None:
    """Save the obligations of some systems; those of ``only`` some tasks where tasks are named."""
    dialect = session.get_bind().dialect.name
    _fill(session, read, blocks)
    done.systems += len(read.systems)
    done.obligations += sum(len(block.rows) for block in blocks)
    if _is_postgres(session):
        session.execute(text("ANALYZE due_fresh"))
        session.execute(text("ANALYZE due_scope"))
        _note_cells(session, part)
    upsert = sql_named("due_upsert").replace("{is_not}", IS_NOT[dialect])
    done.written += _count(session, upsert)
    done.removed += _remove_stale(session, part, only)
    session.execute(text(sql_named("system_due_upsert").replace("{late}", LATE[dialect])))
    if _is_postgres(session):
        _note_cells(session, part)


def end_writing(session: Session) -> None:
    """Bring the map's grid up to date with what was written."""
    if _is_postgres(session):
        session.execute(text("DELETE FROM due_grid WHERE cell IN (SELECT cell FROM due_cell)"))
        session.execute(text(sql_named("due_grid_insert")))
    session.expire_all()


def make_grid(session: Session) -> None:
    """Make the map's grid of a store whose obligations came whole from elsewhere."""
    begin_writing(session)
    session.execute(
        text("INSERT INTO due_cell SELECT DISTINCT cell FROM system_due WHERE cell IS NOT NULL")
    )
    end_writing(session)


def _fill(session: Session, read: DueInput, blocks: list[ObligationBlock]) -> None:
    systems = read.systems
    session.execute(delete(FreshRow))
    session.execute(delete(ScopeRow))
    cells = [None if cell < 0 else cell for cell in read.cells.tolist()]
    copied: dict[str, list[Any]] = {"cell": cells, "town": read.towns, "kind": read.kinds}
    insert_columns(session, ScopeRow, {"system_id": systems.system_id.tolist(), **copied})
    for block in blocks:
        rows = block.rows
        columns = {
            "system_id": systems.system_id[rows].tolist(),
            "site_id": systems.site_id[rows].tolist(),
            "firm_id": systems.firm_id[rows].tolist(),
            "jurisdiction_id": systems.jurisdiction_id[rows].tolist(),
            "rule_code": block.rule_code,
            "source": block.source,
            "estimated": block.estimated.tolist(),
            "grace_days": block.grace_days,
            "horizon_days": block.horizon_days,
            "reason": block.reason,
        }
        dates = {name: getattr(block, name) for name in DATES}
        if _is_postgres(session):
            days = {name: column.tolist() for name, column in dates.items()}
            insert_columns(session, FreshRow, columns | days, {"task": block.task})
        else:
            texts = {name: _as_texts(column) for name, column in dates.items()}
            _insert_quickly(session, columns | texts | {"task": [block.task] * len(rows)})


def _as_texts(days: Days) -> list[str | None]:
    texts = np.datetime_as_string(days).astype(object)
    texts[np.isnat(days)] = None
    answer: list[str | None] = texts.tolist()
    return answer


def _insert_quickly(session: Session, columns: Mapping[str, Sequence[Any]]) -> None:
    """Insert into SQLite's due_fresh with dates as text: half the time of typed columns."""
    names, marks = ", ".join(columns), ", ".join("?" * len(columns))
    rows = list(zip(*columns.values(), strict=True))
    session.connection().exec_driver_sql(
        f"INSERT INTO due_fresh ({names}) VALUES ({marks})",  # noqa: S608 - our own names
        rows,
    )


def _remove_stale(session: Session, part: Part, only: Collection[str]) -> int:
    """Delete obligations of the part that were not computed; return how many."""
    stale = select(ObligationRow.id).where(
        part.holds(session, system=ObligationRow.system_id),
        ~exists().where(
            FreshRow.system_id == ObligationRow.system_id, FreshRow.task == ObligationRow.task
        ),
    )
    if only:
        stale = stale.where(ObligationRow.task.in_(sorted(only)))
    ids = list(session.scalars(stale))
    if not ids:
        return 0
    session.execute(delete(SystemDueRow).where(among(session, SystemDueRow.obligation_id, ids)))
    session.execute(delete(ObligationRow).where(among(session, ObligationRow.id, ids)))
    return len(ids)


def _note_cells(session: Session, part: Part) -> None:
    """Note the map cells in which the part's systems lie, before and after a change."""
    where = part.holds(session, system=SystemDueRow.system_id)
    there = set(session.scalars(select(SystemDueRow.cell).where(where).distinct()))
    noted = set(session.scalars(select(CellRow.cell)))
    new = sorted(one for one in there - noted if one is not None)
    insert_columns(session, CellRow, {"cell": new})


def _count(session: Session, statement: str) -> int:
    rows: int = session.execute(text(statement)).rowcount  # type: ignore[attr-defined]  # an INSERT's result has one
    return max(0, rows)


def _is_postgres(session: Session) -> bool:
    return session.get_bind().dialect.name == "postgresql"
