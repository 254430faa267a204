"""Changing a site's file, settling what two wrote and taking back, on both stores."""

from datetime import date, datetime

from registry.records.changes import Role, Viewer
from registry.services.edit_site import edit_row
from registry.services.settle_site import settle_fields, sites_to_settle
from registry.services.undo_change import undo_change
from registry.store import Session, history, sites
from tests.store import rows


def test_what_two_people_write_is_kept_settled_and_taken_back(
    session: Session, now: datetime, today: date
) -> None:
    site_id = rows.site(session)
    office = Viewer(name="office", role=Role.DISPATCHER, firm_id=rows.firm(session))
    row = (site_id, "site", site_id)
    given = {"gate_code": "1", "windows": "mon 08:00-12:00", "exceptions": "2026-07-03 closed"}
    first = edit_row(session, office, row, given, {}, now, lambda _zone: today)
    assert set(first.changed) == set(given)
    again = {"gate_code": "2", "position": "44.6, -140.6"}
    second = edit_row(session, office, row, again, {"gate_code": ""}, now, lambda _zone: today)
    assert second.kept_beside == ("gate_code",)
    assert sites_to_settle(session, office) == [(site_id, "A-1")]
    key = f"site:{site_id}:gate_code"
    assert settle_fields(session, office, site_id, {key: 1}, ["1", "2"], now, lambda _: today) == 1
    assert sites_to_settle(session, office) == []
    moved = next(o for o in history.history_of(session, site_id) if o.field == "position_source")
    undo_change(session, office, moved.id, now, lambda _zone: today)
    kept = sites.site(session, site_id)
    assert (kept.gate_code, kept.lon_lat, kept.position_source) == ("2", rows.PLACE, "")
