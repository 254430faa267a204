"""Two firms in the invented county, each with its own jurisdiction, people, sites and day."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from uuid import NAMESPACE_URL, uuid5

from sqlalchemy import select, update

from registry.records.changes import Role, Viewer
from registry.services.users import add_user
from registry.store import Session
from registry.store import tables as t
from tests.pages.private_texts import FIRMS
from tests.pages.visitors import DAY

ON = date.fromisoformat(DAY)
NOW = datetime(ON.year, ON.month, ON.day, 15, tzinfo=UTC)
PASSWORD = "a password for tests"  # noqa: S105


@dataclass(frozen=True)
class Planted:
    """Where a firm's secrets lie: what an address can name."""

    whose: str
    firm_id: int
    jurisdiction_id: int
    technician_id: int
    site_id: int
    system_id: int
    key: str
    lon: float
    lat: float

    def id(self, what: str) -> str:
        """Return the id of a record that was planted."""
        return str(uuid5(NAMESPACE_URL, f"{what} of {self.whose}"))

    def digest(self, what: str) -> str:
        """Return what a picture is known by."""
        return uuid5(NAMESPACE_URL, f"{what} of {self.whose}").hex * 2


def split_in_two(session: Session) -> dict[str, Planted]:
    """Give the second route of the day, with its people and sites, to a firm of its own."""
    day = session.scalars(select(t.DayRow).order_by(t.DayRow.number.desc())).first()
    assert day is not None
    routes = list(session.scalars(select(t.RouteRow).where(t.RouteRow.day_id == day.id)))
    of_user = session.scalar(select(t.UserRow.technician_id).where(t.UserRow.name == "technician"))
    own = next(one for one in routes if one.technician_id == of_user)
    other = next(one for one in routes if one.technician_id != of_user)
    firm = t.FirmRow(name="Other Firm", yard_lon=-139.9, yard_lat=44.98)
    session.add(firm)
    session.flush()
    going = {one["site_id"] for one in other.body["stops"] if one["site_id"]}
    person = session.get_one(t.TechnicianRow, other.technician_id)
    person.firm_id = firm.id
    session.execute(
        update(t.TruckRow).where(t.TruckRow.id == person.truck_id).values(firm_id=firm.id)
    )
    point = session.scalars(select(t.FillPointRow)).first()
    assert point is not None
    session.add(
        t.FillPointRow(firm_id=firm.id, name="Other standpipe", lon=point.lon, lat=point.lat)
    )
    first, second = session.scalars(select(t.JurisdictionRow.id).order_by(t.JurisdictionRow.id))
    for kind, of in (
        (t.SiteRow, t.SiteRow.id),
        (t.ObligationRow, t.ObligationRow.site_id),
        (t.SystemDueRow, t.SystemDueRow.site_id),
    ):
        session.execute(update(kind).values(jurisdiction_id=first))
        session.execute(
            update(kind).where(of.in_(going)).values(firm_id=firm.id, jurisdiction_id=second)
        )
    session.execute(
        update(t.AgreementRow).where(t.AgreementRow.site_id.in_(going)).values(firm_id=firm.id)
    )
    theirs = t.DayRow(
        firm_id=firm.id, on_date=day.on_date, number=1, made_at=day.made_at, cost=day.cost,
        bound=None, body=day.body | {"firm_id": firm.id},
    )  # fmt: skip
    session.add(theirs)
    session.flush()
    other.day_id = theirs.id
    session.flush()
    return {
        "a": _planted(session, "a", day.firm_id, first, own),
        "b": _planted(session, "b", firm.id, second, other),
    }


def _planted(
    session: Session, whose: str, firm_id: int, jurisdiction_id: int, route: t.RouteRow
) -> Planted:
    site_id = next(one["site_id"] for one in route.body["stops"] if one["site_id"])
    system_id = session.scalar(select(t.SystemRow.id).where(t.SystemRow.site_id == site_id))
    site = session.get_one(t.SiteRow, site_id)
    return Planted(
        whose, firm_id, jurisdiction_id, route.technician_id, site_id, system_id or 0, site.key,
        site.lon or 0.0, site.lat or 0.0,
    )  # fmt: skip


def sign_ins(session: Session, planted: dict[str, Planted]) -> dict[str, Viewer]:
    """Add a sign-in of each role to each firm and jurisdiction and return them by name."""
    made = {}
    for whose in FIRMS:
        one = planted[whose]
        for role in Role:
            name = f"{role.value}-{whose}"
            county = role is Role.COUNTY
            made[name] = Viewer(
                name=name,
                role=role,
                firm_id=None if county else one.firm_id,
                jurisdiction_ids=(one.jurisdiction_id,) if county else (),
                technician_id=one.technician_id if role is Role.TECHNICIAN else None,
            )
            add_user(session, made[name], PASSWORD, NOW)
    return made
