"""What a dispatcher asks of a date: technicians ruled out, visits in turn, errands."""

from datetime import date

from sqlalchemy import delete, or_, select
from sqlalchemy.orm import Session

from registry.records.places import LonLat
from registry.records.visits import Errand, RuleOut, VisitLink
from registry.store.tables import ErrandRow, RuleOutRow, VisitLinkRow


def rule_outs_on(session: Session, firm_id: int, on_date: date) -> list[RuleOut]:
    """Return who does not go where on a date, what holds until further notice included."""
    rows = session.scalars(
        select(RuleOutRow)
        .where(
            RuleOutRow.firm_id == firm_id,
            or_(RuleOutRow.on_date == on_date, RuleOutRow.on_date.is_(None)),
        )
        .order_by(RuleOutRow.id)
    )
    return [
        RuleOut(
            site_id=row.site_id,
            technician_id=row.technician_id,
            on_date=row.on_date,
            note=row.note,
        )
        for row in rows
    ]


def put_rule_out(session: Session, firm_id: int, one: RuleOut) -> None:
    """Rule a technician out for a site, in place of the same said before."""
    lift_rule_out(session, firm_id, one)
    session.add(
        RuleOutRow(
            firm_id=firm_id,
            site_id=one.site_id,
            technician_id=one.technician_id,
            on_date=one.on_date,
            note=one.note,
        )
    )
    session.flush()


def lift_rule_out(session: Session, firm_id: int, one: RuleOut) -> bool:
    """Let a technician go to a site again; tell whether that was ruled out."""
    found = session.scalars(
        select(RuleOutRow).where(
            RuleOutRow.firm_id == firm_id,
            RuleOutRow.site_id == one.site_id,
            RuleOutRow.technician_id == one.technician_id,
            RuleOutRow.on_date.is_(None)
            if one.on_date is None
            else RuleOutRow.on_date == one.on_date,
        )
    ).all()
    for row in found:
        session.delete(row)
    session.flush()
    return bool(found)


def links_on(session: Session, firm_id: int, on_date: date) -> list[VisitLink]:
    """Return which sites are worked at one after the other on a date."""
    rows = session.scalars(
        select(VisitLinkRow)
        .where(VisitLinkRow.firm_id == firm_id, VisitLinkRow.on_date == on_date)
        .order_by(VisitLinkRow.id)
    )
    return [
        VisitLink(
            on_date=row.on_date,
            first_site_id=row.first_site_id,
            then_site_id=row.then_site_id,
            same_truck=row.same_truck,
        )
        for row in rows
    ]


def put_link(session: Session, firm_id: int, link: VisitLink) -> None:
    """Let one site follow another on a date, in place of the same said before."""
    drop_link(session, firm_id, link)
    session.add(
        VisitLinkRow(
            firm_id=firm_id,
            on_date=link.on_date,
            first_site_id=link.first_site_id,
            then_site_id=link.then_site_id,
            same_truck=link.same_truck,
        )
    )
    session.flush()


def drop_link(session: Session, firm_id: int, link: VisitLink) -> None:
    """Let two sites be worked at in any order again."""
    session.execute(
        delete(VisitLinkRow).where(
            VisitLinkRow.firm_id == firm_id,
            VisitLinkRow.on_date == link.on_date,
            VisitLinkRow.first_site_id == link.first_site_id,
            VisitLinkRow.then_site_id == link.then_site_id,
        )
    )


def errands_on(session: Session, firm_id: int, on_date: date) -> list[Errand]:
    """Return the errands of a date in the order of their ends."""
    rows = session.scalars(
        select(ErrandRow)
        .where(ErrandRow.firm_id == firm_id, ErrandRow.on_date == on_date)
        .order_by(ErrandRow.to_min, ErrandRow.id)
    )
    return [
        Errand(
            id=row.id,
            on_date=row.on_date,
            name=row.name,
            lon_lat=LonLat(row.lon, row.lat),
            minutes=row.minutes,
            from_min=row.from_min,
            to_min=row.to_min,
            technician_id=row.technician_id,
            note=row.note,
        )
        for row in rows
    ]


def add_errand(session: Session, firm_id: int, errand: Errand) -> int:
    """Keep an errand and return its id."""
    row = ErrandRow(
        firm_id=firm_id,
        on_date=errand.on_date,
        name=errand.name,
        lon=errand.lon_lat.lon,
        lat=errand.lon_lat.lat,
        minutes=errand.minutes,
        from_min=errand.from_min,
        to_min=errand.to_min,
        technician_id=errand.technician_id,
        note=errand.note,
    )
    session.add(row)
    session.flush()
    return row.id


def remove_errand(session: Session, firm_id: int, errand_id: int) -> bool:
    """Forget an errand; tell whether there was one."""
    row = session.get(ErrandRow, errand_id)
    if row is None or row.firm_id != firm_id:
        return False
    session.delete(row)
    session.flush()
    return True
