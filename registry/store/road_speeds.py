"""The speeds that a firm set for its roads."""

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from registry.store.history import Author, as_said, note_changes
from registry.store.tables import RoadSpeedRow

KIND = RoadSpeedRow.__tablename__


def road_speeds(session: Session, firm_id: int) -> dict[str, float]:
    """Return the miles an hour set for each class of road."""
    rows = session.scalars(
        select(RoadSpeedRow)
        .where(RoadSpeedRow.firm_id == firm_id)
        .order_by(RoadSpeedRow.road_class)
    )
    return {row.road_class: row.speed_mph for row in rows}


def put_road_speed(
    session: Session, firm_id: int, road_class: str, speed_mph: float | None, by: Author
) -> None:
    """Set a firm's speed for a class of road; None = as the engine has it."""
    before = road_speeds(session, firm_id).get(road_class)
    if before == speed_mph:
        return
    key = {"firm_id": firm_id, "road_class": road_class}
    if speed_mph is None:
        session.execute(delete(RoadSpeedRow).filter_by(**key))
    else:
        session.merge(RoadSpeedRow(**key, speed_mph=speed_mph))
    session.flush()
    said = by.change(
        KIND, f"{firm_id}/{road_class}", road_class, as_said(before), as_said(speed_mph)
    )
    note_changes(session, [said])
