"""From names typed by an administrator to the firm, technician and jurisdictions of a sign-in."""

from registry.errors import NotFoundError
from registry.records.changes import Role, Viewer
from registry.store import Session, names


def viewer_for(
    session: Session,
    *,
    name: str,
    role: str,
    firm: str | None,
    technician: str | None,
    jurisdictions: tuple[str, ...],
) -> Viewer:
    """Return the viewer that a new sign-in will be.

    Raises
    ------
    NotFoundError
        If a name is not in the store, or several firms are and none was named.
    """
    kind = Role(role)
    firm_id = technician_id = None
    wanted: tuple[int, ...] = ()
    if kind is Role.COUNTY:
        known = names.jurisdiction_ids(session)
        wanted = tuple(_one(known, one, "jurisdiction") for one in jurisdictions) or tuple(
            known.values()
        )
    elif kind is not Role.ADMINISTRATOR or firm is not None:
        firm_id = firm_named(session, firm)
    if technician is not None and firm_id is not None:
        technician_id = _one(names.technician_ids(session, firm_id), technician, "technician")
    return Viewer(
        name=name, role=kind, firm_id=firm_id, jurisdiction_ids=wanted, technician_id=technician_id
    )


def _one(known: dict[str, int], name: str, kind: str) -> int:
    if name not in known:
        there = ", ".join(sorted(known)) or "none yet"
        raise NotFoundError(f"There is no {kind} named {name}. Known: {there}.")
    return known[name]


def _only(firms: dict[str, int]) -> int:
    if len(firms) != 1:
        there = ", ".join(sorted(firms)) or "none yet; import a crew first"
        raise NotFoundError(f"Say which firm with --firm. Known: {there}.")
    return next(iter(firms.values()))


def firm_named(session: Session, name: str | None) -> int:
    """Return the id of a firm by its name, or of the only one where no name is given.

    Raises
    ------
    NotFoundError
        If there is no such firm, or several and none was named.
    """
    firms = names.firm_ids(session)
    return _one(firms, name, "firm") if name else _only(firms)


def technician_named(session: Session, viewer: Viewer, name: str) -> int:
    """Return the id of a technician of the viewer's firm.

    Raises
    ------
    NotFoundError
        If there is none with this name.
    """
    return _one(names.technician_ids(session, viewer.firm_id or 0), name, "technician")
