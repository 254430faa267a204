"""Whether a visit stands: neither corrected by another nor settled with others."""

from typing import Any

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import aliased

from registry.store.tables import VisitRow, VisitSettledRow


def is_replaced(visit_id: Any) -> ColumnElement[bool]:  # noqa: ANN401 - a column of visit ids
    """Return the condition that a visit was superseded by a correction or a settlement."""
    newer = aliased(VisitRow)
    return or_(
        select(newer.id).where(newer.supersedes == visit_id).exists(),
        select(VisitSettledRow.over_id).where(VisitSettledRow.over_id == visit_id).exists(),
    )
