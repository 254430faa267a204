"""Parts are added to a site's file by whoever may, and each addition can be taken back."""

from datetime import date

import pytest

from registry.errors import AccessError, RangeError
from registry.records.changes import Role, Viewer
from registry.services.add_part import add_part, kinds_to_add, part_to_add
from registry.services.undo_change import can_undo, undo_change
from registry.store import Session, Store, history
from registry.store.file_values import agreement_ids
from registry.store.systems import systems_of_site
from tests.store import rows


def today(_zone: str) -> date:
    return date(2026, 6, 15)


def who(session: Session, role: Role = Role.DISPATCHER) -> Viewer:
    return Viewer(name="office", role=role, firm_id=rows.firm(session))


def test_a_part_is_added_and_taken_back(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        system_id = rows.system_of(session, site_id)
        office = who(session)
        for kind, under, given in (
            ("component", system_id, {"kind": "pump", "label": "lift pump", "cover_in": "6"}),
            ("agreement", site_id, {"starts_on": "2026-07-01", "visits_a_year": "2"}),
            ("system", site_id, {"kind": "holding tank"}),
        ):
            number = add_part(session, office, (site_id, kind, under), given, rows.NOW, today)
            line = history.history_of(session, site_id, limit=1)[0]
            assert (line.kind, line.row_id, line.after[:6]) == (kind, str(number), "added:")
            assert can_undo(office, line)
            there = (systems_of_site(session, site_id), agreement_ids(session, site_id))
            undo_change(session, office, line.id, rows.NOW, today)
            assert (systems_of_site(session, site_id), agreement_ids(session, site_id)) != there
        (system,) = systems_of_site(session, site_id)
        assert system.components == ()
        assert agreement_ids(session, site_id) == []
        session.rollback()


def test_a_system_with_components_stays_and_says_why(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        office = who(session)
        new = add_part(
            session, office, (site_id, "system", site_id), {"kind": "mound"}, rows.NOW, today
        )
        line = history.history_of(session, site_id, limit=1)[0]
        add_part(session, office, (site_id, "component", new), {"kind": "pump"}, rows.NOW, today)
        with pytest.raises(RangeError, match="component hangs on it"):
            undo_change(session, office, line.id, rows.NOW, today)
        session.rollback()


def test_what_is_no_part_is_not_added(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        assert kinds_to_add(who(session, Role.TECHNICIAN)) == frozenset()
        with pytest.raises(AccessError):
            part_to_add(session, who(session, Role.TECHNICIAN), site_id, "agreement", site_id)
        for given in ({"kind": ""}, {"kind": "spaceship"}, {"kind": "pump", "elevation_ft": "9"}):
            part = (site_id, "component", rows.system_of(session, site_id))
            with pytest.raises(RangeError):
                add_part(session, who(session), part, given, rows.NOW, today)
        session.rollback()
