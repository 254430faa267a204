"""Closed roads are kept, listed and lifted on both stores, with their history."""

from datetime import date, datetime
from typing import TYPE_CHECKING

import pytest
import shapely
from sqlalchemy import select

from registry.errors import AccessError, ConflictError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.closures import Closure
from registry.services.closures import close_roads, lift_closure, list_closures
from registry.store import Author, closures, road_speeds
from registry.store.tables import ChangeRow, FirmRow, JurisdictionRow

if TYPE_CHECKING:
    from registry.store import Session

DAY = date(2026, 6, 15)
LINE = shapely.LineString([(-40, 30), (-39.9, 30.1)])
AREA = shapely.MultiPolygon([shapely.Point(-40, 30).buffer(0.01)])


def office(firm_id: int = 1, role: Role = Role.DISPATCHER) -> Viewer:
    return Viewer(name="office", role=role, firm_id=firm_id)


def closed(name: str = "Low Road", **fields: object) -> Closure:
    made: dict[str, object] = {"name": name, "shape": LINE, "first_on": DAY}
    return Closure(**(made | fields))  # type: ignore[arg-type]  # fields of a closure


@pytest.fixture(autouse=True)
def firms(session: "Session") -> None:
    session.add(JurisdictionRow(id=1, name="Invented County"))
    session.add_all([FirmRow(id=1, name="Invented Firm"), FirmRow(id=2, name="Other Firm")])
    session.flush()


@pytest.mark.parametrize("shape", [LINE, AREA], ids=["line", "area"])
def test_a_closure_comes_back_as_it_was(
    session: "Session", now: datetime, shape: shapely.Geometry
) -> None:
    wanted = closed(
        shape=shape, road="Low Road", last_on=date(2026, 6, 20), hours=(480, 720), why="water"
    )
    (made,) = close_roads(session, office(), [wanted], now)
    session.expire_all()
    (found,) = list_closures(session, office())
    assert found.shape.equals(shape)
    assert (made.id, made.made_by, made.made_at) == (found.id, "office", now)
    for field in ("name", "road", "first_on", "last_on", "hours", "why", "lifted_at"):
        assert getattr(found, field) == getattr(made, field)


def test_a_lifted_closure_is_gone_from_the_list_and_stays_in_the_history(
    session: "Session", now: datetime
) -> None:
    one, other = close_roads(session, office(), [closed(), closed("High Road")], now)
    lift_closure(session, office(), one.id, now)
    assert [found.name for found in list_closures(session, office())] == ["High Road"]
    assert [found.name for found in list_closures(session, office(), lifted=True)] == [
        "Low Road",
        "High Road",
    ]
    lines = session.execute(
        select(ChangeRow.row_id, ChangeRow.field).where(ChangeRow.kind == closures.KIND)
    ).all()
    assert [tuple(line) for line in lines] == [
        (str(one.id), closures.KIND),
        (str(other.id), closures.KIND),
        (str(one.id), "lifted"),
    ]


def test_a_date_lists_what_holds_on_it(session: "Session", now: datetime) -> None:
    until = closed("until Friday", last_on=date(2026, 6, 19))
    later = closed("later", first_on=date(2026, 6, 18))
    close_roads(session, office(), [until, later], now)
    for day, names in ((15, ["until Friday"]), (18, ["until Friday", "later"]), (20, ["later"])):
        found = list_closures(session, office(), date(2026, 6, day))
        assert [one.name for one in found] == names


def test_a_closure_is_lifted_once_and_by_its_own_firm(session: "Session", now: datetime) -> None:
    (made,) = close_roads(session, office(), [closed()], now)
    with pytest.raises(NotFoundError, match="no closure"):
        lift_closure(session, office(2), made.id, now)
    assert list_closures(session, office(2), lifted=True) == []
    lift_closure(session, office(), made.id, now)
    with pytest.raises(ConflictError, match="was lifted before, by office"):
        lift_closure(session, office(), made.id, now)


@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.COUNTY])
def test_only_the_office_closes_roads(session: "Session", now: datetime, role: Role) -> None:
    with pytest.raises(AccessError, match="close a road"):
        close_roads(session, office(role=role), [closed()], now)
    (made,) = close_roads(session, office(), [closed()], now)
    with pytest.raises(AccessError, match="close a road"):
        lift_closure(session, office(role=role), made.id, now)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (closed(" "), "a name"),
        (closed(last_on=date(2026, 6, 1)), "cannot end on 2026-06-01"),
        (closed(shape=shapely.LineString([(i / 1e6, 0) for i in range(20_001)])), "single roads"),
    ],
)
def test_one_wrong_closure_keeps_all_out(
    session: "Session", now: datetime, wrong: Closure, said: str
) -> None:
    with pytest.raises(RangeError, match=said):
        close_roads(session, office(), [closed(), wrong], now)
    assert list_closures(session, office()) == []


def test_a_speed_is_set_changed_and_given_back(session: "Session", now: datetime) -> None:
    by = Author("office", now)
    for value in (12.0, 15.0, 15.0):
        road_speeds.put_road_speed(session, 1, "gravel", value, by)
    road_speeds.put_road_speed(session, 2, "gravel", 20.0, by)
    assert road_speeds.road_speeds(session, 1) == {"gravel": 15.0}
    road_speeds.put_road_speed(session, 1, "gravel", None, by)
    assert road_speeds.road_speeds(session, 1) == {}
    lines = session.execute(
        select(ChangeRow.before, ChangeRow.after).where(ChangeRow.row_id == "1/gravel")
    ).all()
    assert [tuple(line) for line in lines] == [("", "12"), ("12", "15"), ("15", "")]
