"""Phones and pairings on both stores: one use of a code, whatever happens at the same time."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from registry.errors import AccessError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.crew import Technician
from registry.services.pair_phone import (
    CODE_LIFE,
    PairedPhone,
    offer_pairing,
    pair,
    pairing_for,
    technicians_to_pair,
)
from registry.services.phones import (
    SESSION_LIFE,
    list_phones,
    note_seen,
    note_wiped,
    phone_at_door,
    sign_phone_out,
)
from registry.services.users import block_user, end_sessions
from registry.store import Session, Store, crew
from tests.store import rows

NOW = rows.NOW


@pytest.fixture
def office(store: Store) -> Viewer:
    """A dispatcher of a firm with two technicians; another firm has one."""
    with store.session() as session:
        firm_id = rows.firm(session)
        for name in ("Ada Invented", "Bo Invented"):
            crew.put_technician(session, firm_id, Technician(name=name, initials="I"), rows.BY)
        other = rows.firm(session, "Another Firm")
        crew.put_technician(session, other, Technician(name="Cy Invented", initials="C"), rows.BY)
    return Viewer(name="office", role=Role.DISPATCHER, firm_id=firm_id)


def technician(session: Session, office: Viewer, name: str = "Ada Invented") -> int:
    known = technicians_to_pair(session, office)
    return next(key for key, value in known.items() if value == name)


def paired(session: Session, office: Viewer, name: str = "Ada Invented") -> PairedPhone:
    code = offer_pairing(session, office, technician(session, office, name), "a phone", NOW)
    made = pair(session, code, None, NOW)
    assert made is not None
    return made


def test_a_firm_pairs_phones_of_its_own_technicians_only(store: Store, office: Viewer) -> None:
    admin = Viewer(name="admin", role=Role.ADMINISTRATOR)
    with store.session() as session:
        assert set(technicians_to_pair(session, office).values()) == {"Ada Invented", "Bo Invented"}
        everyone = technicians_to_pair(session, admin)
        assert "Cy Invented, Another Firm" in everyone.values()
        strange = next(key for key, value in everyone.items() if value.startswith("Cy"))
        with pytest.raises(NotFoundError):
            offer_pairing(session, office, strange, "", NOW)
        with pytest.raises(RangeError, match="60 letters"):
            offer_pairing(session, office, technician(session, office), "x" * 61, NOW)
        with pytest.raises(AccessError):
            list_phones(session, Viewer(name="t", role=Role.TECHNICIAN, firm_id=office.firm_id))


def test_a_code_is_taken_as_people_type_it(store: Store, office: Viewer) -> None:
    with store.session() as session:
        code = offer_pairing(session, office, technician(session, office), "", NOW)
        typed = code.lower().replace("-", " ").replace("0", "o").replace("1", "l")
        found = pairing_for(session, typed, NOW)
        assert found is not None
        assert (found.technician, found.phone_name) == ("Ada Invented", "phone")
        assert pairing_for(session, code, NOW + CODE_LIFE) is not None
        assert pairing_for(session, code, NOW + CODE_LIFE + timedelta(seconds=1)) is None


def test_of_many_who_use_a_code_at_once_one_is_paired(store: Store, office: Viewer) -> None:
    with store.session() as session:
        code = offer_pairing(session, office, technician(session, office), "", NOW)

    def use(_: int) -> bool:
        with store.session() as session:
            return pair(session, code, None, NOW) is not None

    with ThreadPoolExecutor(6) as several:
        assert sum(several.map(use, range(6))) == 1
    with store.reading() as session:
        assert len(list_phones(session, office)) == 1


def test_a_phone_enters_as_its_technician_until_it_is_signed_out(
    store: Store, office: Viewer
) -> None:
    with store.session() as session:
        made = paired(session, office)
        here = phone_at_door(session, made.secret, NOW)
        assert here is not None
        assert here.sign_in is not None
        assert here.sign_in.viewer.technician_id == technician(session, office)
        assert here.sign_in.viewer.role is Role.TECHNICIAN
        note_wiped(session, made.phone, NOW)
        assert list_phones(session, office)[0].wiped_at is None  # nobody asked for it
        ended = sign_phone_out(session, office, made.phone.id, NOW)
        again = sign_phone_out(session, office, made.phone.id, NOW + timedelta(hours=1))
        assert again.signed_out_at == ended.signed_out_at == NOW
        here = phone_at_door(session, made.secret, NOW)
        assert here is not None
        assert (here.sign_in, here.must_wipe) == (None, True)
        note_wiped(session, made.phone, NOW)
        assert list_phones(session, office)[0].wiped_at == NOW


def test_the_thirty_days_begin_anew_when_a_phone_is_seen(store: Store, office: Viewer) -> None:
    with store.session() as session:
        made = paired(session, office)
        later = NOW + SESSION_LIFE
        here = phone_at_door(session, made.secret, later)
        assert here is not None
        assert here.sign_in is not None
        note_seen(session, made.phone, later)
        here = phone_at_door(session, made.secret, later + SESSION_LIFE)
        assert here is not None
        assert here.sign_in is not None
        here = phone_at_door(session, made.secret, later + SESSION_LIFE + timedelta(minutes=1))
        assert here is not None
        assert (here.sign_in, here.must_wipe) == (None, False)


def test_another_firm_sees_and_ends_no_phone_of_ours(store: Store, office: Viewer) -> None:
    with store.session() as session:
        made = paired(session, office)
        stranger = Viewer(
            name="x", role=Role.DISPATCHER, firm_id=rows.firm(session, "Another Firm")
        )
        assert list_phones(session, stranger) == []
        with pytest.raises(NotFoundError):
            sign_phone_out(session, stranger, made.phone.id, NOW)


def test_a_sign_in_that_is_ended_or_blocked_takes_all_its_phones_along(
    store: Store, office: Viewer
) -> None:
    with store.session() as session:
        two = [paired(session, office), paired(session, office)]
        other = paired(session, office, "Bo Invented")
        end_sessions(session, "Ada Invented", "a test", NOW)
        doors = [phone_at_door(session, one.secret, NOW) for one in (*two, other)]
        assert [one and one.must_wipe for one in doors] == [True, True, False]
        block_user(session, "Bo Invented", "a test", NOW)
        here = phone_at_door(session, other.secret, NOW)
        assert here is not None
        assert here.must_wipe
        code = offer_pairing(session, office, technician(session, office, "Bo Invented"), "", NOW)
        with pytest.raises(RangeError, match="is blocked"):
            pair(session, code, None, NOW)
