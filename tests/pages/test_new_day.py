"""A new date changes what agreements set, at its first page."""

from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from registry.store.tables import AgreementRow, ObligationRow
from registry.wiring import Parts
from tests.pages.visitors import sign_in

if TYPE_CHECKING:
    from tests.demo import Demo


def test_an_agreement_that_ends_no_longer_sets_a_date_the_day_after(
    parts: Parts, own_demo: "Demo"
) -> None:
    from web.app import create_app

    today = parts.today()
    with parts.store.reading() as session:
        ending, site_id = session.execute(
            select(AgreementRow.ends_on, AgreementRow.site_id)
            .join(ObligationRow, ObligationRow.site_id == AgreementRow.site_id)
            .where(AgreementRow.ends_on > today, ObligationRow.rule_code == "agreement")
            .order_by(AgreementRow.ends_on)
            .limit(1)
        ).one()
    later = Parts(parts.settings, parts.store, ending + timedelta(days=1))
    app = create_app(later, secret="for tests only")  # noqa: S106
    one = app.test_client()
    sign_in(one, "dispatcher", own_demo.password("dispatcher"))
    assert one.get(f"/sites/{site_id}").status_code == 200
    with parts.store.reading() as session:
        rules = set(
            session.scalars(select(ObligationRow.rule_code).where(ObligationRow.site_id == site_id))
        )
    assert "agreement" not in rules
