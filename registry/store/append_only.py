"""Visits, readings and history are only ever added to; PostGIS refuses the rest by triggers.

SQLite has no triggers here, because a migration that rebuilds a table would drop them in silence;
so the statements are refused before they reach it.
"""

import re
from typing import Any

from sqlalchemy import Engine, event

from registry.errors import StoreError

APPEND_ONLY = (
    *("visit", "visit_task", "reading", "change", "gate_visit", "finding"),
    *("photo_content", "photo", "photo_taken_back"),
    *("report_sent", "finding_mended", "letter"),
    "visit_settled",
)
"""Tables that are only added to; the migrations that make them name the same ones."""

_REFUSED = re.compile(
    r"\s*(?:UPDATE(?:\s+OR\s+\w+)?|DELETE\s+FROM|(?:INSERT\s+OR\s+)?REPLACE\s+INTO)\s+"
    r"[\"`\[]?(" + "|".join(APPEND_ONLY) + r")[\"`\]]?(?:\s|$)",
    re.IGNORECASE,
)
_UPSERT = re.compile(
    r"\s*INSERT\s+INTO\s+[\"`\[]?(" + "|".join(APPEND_ONLY) + r")\b.*\bDO\s+UPDATE\b",
    re.IGNORECASE | re.DOTALL,
)


def guard(engine: Engine) -> None:
    """Refuse every statement of an engine that would change a row of an append-only table."""

    @event.listens_for(engine, "before_cursor_execute")
    def _refuse(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:  # noqa: ANN401
        found = _REFUSED.match(statement) or _UPSERT.match(statement)
        if found:
            raise StoreError(f"{found[1]} is append-only: add a row that supersedes the old one.")
