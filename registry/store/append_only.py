"""Visits, readings and history are only ever added to; both databases refuse the rest by triggers.

On SQLite a statement is refused before it reaches the database too: a migration that rebuilds a
table drops its triggers, which ``unguarded`` finds. An erasure may blank personal columns, and
nothing else, on both.
"""

import re
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Delete, Engine, Update, event, func, select, text
from sqlalchemy.orm import Session

from registry.errors import StoreError

PERSONAL: dict[str, tuple[str, ...]] = {
    "visit": ("technician", "note", "recorded_by"),
    "visit_task": (),
    "reading": ("note", "answer"),
    "change": ("who", "before", "after"),
    "gate_visit": ("body",),
    "finding": ("note", "owner_told"),
    "photo_content": (),
    "photo": ("technician", "caption", "recorded_by"),
    "photo_taken_back": ("why", "taken_back_by"),
    "report_sent": ("note", "noted_by"),
    "finding_mended": ("note", "noted_by"),
    "letter": ("to_name", "to_address", "body", "written_by"),
    "visit_settled": (),
    "report_in": ("person", "taken_in_by"),
    "report_in_back": ("taken_back_by", "why"),
    "proposal": ("who", "before", "value"),
    "proposal_settled": ("who",),
    "private_read": (),
    "erasure": (),
}
"""Tables that are only added to → their columns that an erasure may blank; the migrations that make
them name the same ones."""

APPEND_ONLY = tuple(PERSONAL)
ERASING = "erasing"
"""The execution option of a statement that belongs to an erasure."""

_REFUSED = re.compile(
    r"\s*(?:UPDATE(?:\s+OR\s+\w+)?|DELETE\s+FROM|(?:INSERT\s+OR\s+)?REPLACE\s+INTO)\s+"
    r"[\"`\[]?(" + "|".join(APPEND_ONLY) + r")[\"`\]]?(?:\s|$)",
    re.IGNORECASE,
)
_UPSERT = re.compile(
    r"\s*INSERT\s+INTO\s+[\"`\[]?(" + "|".join(APPEND_ONLY) + r")\b.*\bDO\s+UPDATE\b",
    re.IGNORECASE | re.DOTALL,
)
_BLANKS = re.compile(r"UPDATE (\w+) SET (.+?) WHERE ", re.DOTALL)
_SET = re.compile(r"\"?(\w+)\"?=(?:\?|%\(\w+\)s(?:::\w+)?)(?:, |$)")


def guard(engine: Engine) -> None:
    """Refuse every statement of an engine that would change a row of an append-only table."""

    @event.listens_for(engine, "before_cursor_execute")
    def _refuse(
        _connection: Any,  # noqa: ANN401
        _cursor: Any,  # noqa: ANN401
        statement: str,
        _parameters: Any,  # noqa: ANN401
        context: Any,  # noqa: ANN401
        _many: bool,
    ) -> None:
        found = _REFUSED.match(statement) or _UPSERT.match(statement)
        if found and not (context and context.execution_options.get(ERASING) and _may(statement)):
            raise StoreError(f"{found[1]} is append-only: add a row that supersedes the old one.")


def _may(statement: str) -> bool:
    """Tell whether an erasure may do this: blank named columns, or forget who read long ago."""
    if statement.startswith("DELETE FROM private_read "):
        return True
    found = _BLANKS.match(statement)
    if found is None:
        return False
    columns = _SET.findall(found[2])
    return bool(columns) and not _SET.sub("", found[2]) and set(columns) <= {*PERSONAL[found[1]]}


def erase(session: Session, statement: Update | Delete, rows: Sequence[Any] = ()) -> int:
    """Do what an erasure does to append-only tables, and return how many rows it changed.

    The triggers let it pass while their setting is on, which only this transaction sees.
    """
    _set_erasing(session, on=True)
    number = _erase(session, statement, rows)
    _set_erasing(session, on=False)
    return number


def unguarded(session: Session) -> list[str]:
    """Return the tables of which the database itself would let rows be changed."""
    if session.get_bind().dialect.name == "postgresql":
        asked = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        kinds = ["is_append_only"]
    else:
        asked = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        kinds = ["is_append_only", "stays"]
    there = set(session.scalars(text(asked)))
    return [one for one in APPEND_ONLY if not {f"{one}_{kind}" for kind in kinds} <= there]


def _set_erasing(session: Session, *, on: bool) -> None:
    if session.get_bind().dialect.name == "postgresql":
        session.execute(select(func.set_config("riserway.erasing", "yes" if on else "no", True)))
    elif on:
        session.execute(text("INSERT INTO setting (name, value) VALUES ('erasing', 'yes')"))
    else:
        session.execute(text("DELETE FROM setting WHERE name = 'erasing'"))


def _erase(session: Session, statement: Update | Delete, rows: Sequence[Any]) -> int:
    done = session.connection().execute(
        statement, list(rows) or None, execution_options={ERASING: True}
    )
    return done.rowcount
