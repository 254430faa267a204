"""Seasons that were made, each kept whole; the newest is in force."""

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from registry.records.season import MadeSeason, SeasonVisit
from registry.store.among import among
from registry.store.bulk import insert_columns
from registry.store.tables import SeasonRow, SeasonVisitRow, SiteRow

PLAIN = ("site_id", "week_on", "due_on", "minutes", "late", "in_barred_week", "promised_at")
"""Fields that row and record share."""


def save_season(session: Session, season: MadeSeason) -> MadeSeason:
    """Keep a season and return it as it is kept."""
    row = SeasonRow(
        firm_id=season.firm_id,
        first_on=season.first_on,
        n_weeks=season.n_weeks,
        made_at=season.made_at,
        told=dict(season.told),
    )
    session.add(row)
    session.flush()
    columns = {name: [getattr(one, name) for one in season.visits] for name in PLAIN}
    columns["tasks"] = [list(one.tasks) for one in season.visits]
    insert_columns(session, SeasonVisitRow, columns, {"season_id": row.id})
    kept = newest_season(session, season.firm_id)
    return season if kept is None else kept


def newest_season(session: Session, firm_id: int) -> MadeSeason | None:
    """Return the season of a firm that is in force, its visits by week; None = none was made."""
    row = session.scalar(
        select(SeasonRow).where(SeasonRow.firm_id == firm_id).order_by(SeasonRow.id.desc()).limit(1)
    )
    if row is None:
        return None
    asked = (
        select(SeasonVisitRow, SiteRow.key, SiteRow.town)
        .join(SiteRow, SiteRow.id == SeasonVisitRow.site_id)
        .where(SeasonVisitRow.season_id == row.id)
        .order_by(SeasonVisitRow.week_on, SiteRow.town, SiteRow.key, SeasonVisitRow.id)
    )
    return MadeSeason(
        id=row.id,
        firm_id=row.firm_id,
        first_on=row.first_on,
        n_weeks=row.n_weeks,
        made_at=row.made_at,
        told=dict(row.told),
        visits=tuple(
            SeasonVisit(
                id=one.id,
                site=key,
                town=town,
                tasks=tuple(one.tasks),
                **{name: getattr(one, name) for name in PLAIN},
            )
            for one, key, town in session.execute(asked)
        ),
    )


def seasons_made(session: Session, firm_id: int) -> list[tuple[int, datetime, date, int]]:
    """Return number, moment, first Monday and count of visits of a firm's seasons, newest first."""
    asked = (
        select(SeasonRow.id, SeasonRow.made_at, SeasonRow.first_on, func.count(SeasonVisitRow.id))
        .outerjoin(SeasonVisitRow, SeasonVisitRow.season_id == SeasonRow.id)
        .where(SeasonRow.firm_id == firm_id)
        .group_by(SeasonRow.id, SeasonRow.made_at, SeasonRow.first_on)
        .order_by(SeasonRow.id.desc())
    )
    return [(number, at, on, n) for number, at, on, n in session.execute(asked)]


def promise(session: Session, visit_ids: Collection[int], now: datetime) -> None:
    """Note that the owners of some visits were told of their week; the first time counts."""
    row = SeasonVisitRow
    session.execute(
        update(row)
        .where(among(session, row.id, visit_ids), row.promised_at.is_(None))
        .values(promised_at=now)
    )
