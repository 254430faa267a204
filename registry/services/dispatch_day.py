"""What a dispatcher asks of a date beside holding visits: who stays away, what follows, errands."""

from datetime import date

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.visits import Errand, RuleOut, VisitLink
from registry.services.see_day import firm_of
from registry.store import Session, dispatch, names
from registry.units import MIN_PER_DAY

ACT = "hold a visit"


def technician_id_of(session: Session, viewer: Viewer, name: str) -> int:
    """Return the id of a technician of the viewer's firm by name.

    Raises
    ------
    NotFoundError
        If there is none of this name; says which there are.
    """
    known = names.technician_ids(session, firm_of(session, viewer))
    if name not in known:
        raise NotFoundError(
            f"There is no technician “{name}” in your firm. Known: {', '.join(known) or 'none'}."
        )
    return known[name]


def rule_out(session: Session, viewer: Viewer, one: RuleOut) -> None:
    """Keep a technician away from a site, on a date or until further notice.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    """
    require(viewer, ACT)
    dispatch.RULE_OUTS.put(session, firm_of(session, viewer), one)


def lift_rule_out(session: Session, viewer: Viewer, one: RuleOut) -> None:
    """Let a technician go to a site again.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    NotFoundError
        If the technician was not ruled out there.
    """
    require(viewer, ACT)
    if not dispatch.RULE_OUTS.drop(
        session, firm_of(session, viewer), dispatch.RULE_OUTS.key_of(one)
    ):
        raise NotFoundError("That technician was not ruled out there in this way.")


def link_visits(session: Session, viewer: Viewer, link: VisitLink) -> None:
    """Let work at one site start only once it is over at another.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    RangeError
        If a site is to follow itself.
    """
    require(viewer, ACT)
    if link.first_site_id == link.then_site_id:
        raise RangeError("A site cannot follow itself. Name two sites.")
    dispatch.LINKS.put(session, firm_of(session, viewer), link)


def unlink_visits(session: Session, viewer: Viewer, link: VisitLink) -> None:
    """Let two sites be worked at in any order again."""
    require(viewer, ACT)
    dispatch.LINKS.drop(session, firm_of(session, viewer), dispatch.LINKS.key_of(link))


def add_errand(session: Session, viewer: Viewer, errand: Errand) -> int:
    """Keep a stop at a place outside and return its id.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    RangeError
        If it has no name, no length, or ends before it begins.
    """
    require(viewer, ACT)
    if not errand.name.strip():
        raise RangeError("Say what the errand is, such as the name of the laboratory.")
    if not 0 < errand.minutes <= MIN_PER_DAY:
        raise RangeError("An errand takes more than 0 and at most 1440 minutes.")
    if not 0 <= errand.from_min <= errand.to_min <= MIN_PER_DAY:
        raise RangeError("The errand's hours end before they begin. Give the earlier one first.")
    return dispatch.ERRANDS.put(session, firm_of(session, viewer), errand)


def list_errands(session: Session, viewer: Viewer, on_date: date) -> list[Errand]:
    """Return the errands of a date.

    Raises
    ------
    AccessError
        If the role may not see days.
    """
    require(viewer, "see the day")
    return dispatch.ERRANDS.on(session, firm_of(session, viewer), on_date)


def remove_errand(session: Session, viewer: Viewer, errand_id: int) -> None:
    """Forget an errand.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    NotFoundError
        If there is no such errand.
    """
    require(viewer, ACT)
    if not dispatch.ERRANDS.drop(session, firm_of(session, viewer), (errand_id,)):
        raise NotFoundError(f"There is no errand {errand_id} in your firm.")
