"""Versions of a date's plan on both stores: one in force, none overwritten, no change lost."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from registry.errors import ConflictError, NotFoundError
from registry.records.day_versions import MadeHow
from registry.store import day_versions, days
from tests.build import A_DAY, at, day, route, stop
from tests.store.test_days import firm

if TYPE_CHECKING:
    from registry.store import Session, Store

__all__ = ["firm"]

MORNING = day(route(stop()))
NOON = day(route(stop(starts=at(12), arrives=at(12), leaves=at(13))))


def test_each_plan_of_a_date_has_the_next_number_and_the_old_ones_stay(
    session: "Session", firm: int, now: datetime
) -> None:
    first = days.save_day(session, MORNING, made_by="Ann", now=now, made_from=0)
    second = days.save_day(
        session, NOON, made_by="Ben", now=now, made_from=1, made_how=MadeHow.BY_HAND, note="swap"
    )
    assert (first.number, second.number) == (1, 2)
    assert day_versions.version_in_force(session, firm, A_DAY) == 2
    told = day_versions.versions_of(session, firm, A_DAY)
    assert [(one.number, one.made_by, one.made_how, one.made_from) for one in told] == [
        (2, "Ben", "changed by hand", 1),
        (1, "Ann", "ordered", 0),
    ]
    assert told[0].note == "swap"
    assert day_versions.day_version(session, firm, A_DAY, 1) == first
    assert days.day_of(session, firm, A_DAY) == second


def test_a_version_that_is_not_there_is_said_plainly(session: "Session", firm: int) -> None:
    assert day_versions.version_in_force(session, firm, A_DAY) == 0
    with pytest.raises(NotFoundError, match="version 3"):
        day_versions.day_version(session, firm, A_DAY, 3)


def test_the_second_dispatcher_is_told_what_changed_and_overwrites_nothing(
    store: "Store", now: datetime
) -> None:
    with store.session() as session:
        firm_of_two = firm.__wrapped__(session)  # type: ignore[attr-defined]
        days.save_day(session, MORNING, made_by="Ann", now=now, made_from=0)
    with store.session() as session:
        later = now + timedelta(minutes=32)
        days.save_day(
            session, NOON, made_by="Ben", now=later, made_from=1, made_how=MadeHow.BY_HAND
        )
    with pytest.raises(ConflictError) as refused, store.session() as session:
        days.save_day(session, replace(MORNING, cost=1.0), made_by="Ann", now=now, made_from=1)
    said = str(refused.value)
    assert "changed by hand meanwhile by Ben at 12:32" in said
    assert "A-1: Invented Person, 17:00 now 20:00" in said
    with store.reading() as session:
        kept = days.day_of(session, firm_of_two, A_DAY)
        assert kept is not None
        assert (kept.number, kept.cost) == (2, NOON.cost)
        assert len(day_versions.versions_of(session, firm_of_two, A_DAY)) == 2


def test_a_first_plan_made_meanwhile_is_not_overwritten_either(
    session: "Session", firm: int, now: datetime
) -> None:
    days.save_day(session, MORNING, made_by="Ann", now=now, made_from=0)
    with pytest.raises(ConflictError, match="ordered meanwhile by Ann"):
        days.save_day(session, NOON, made_by="Ben", now=now, made_from=0)
