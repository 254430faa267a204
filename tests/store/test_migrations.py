"""The migrations go up, down and up again, and leave the store as the models say, on both kinds."""

from datetime import date

from alembic.config import Config
from alembic.script import ScriptDirectory

from registry.records.crew import Technician
from registry.records.visits import Hold
from registry.store import Store, crew, open_store
from registry.store.days import day_of, holds_on, put_hold, save_day
from registry.store.migrate import downgrade, drift, newest, revision, upgrade
from registry.store.places import firms
from registry.store.revisions import known_revisions, migrations_folder
from registry.store.tables import Base
from tests.build import day, route, stop
from tests.store import rows


def test_up_down_and_up_leaves_no_drift(bare_store_url: str) -> None:
    from sqlalchemy import inspect

    store = open_store(bare_store_url)
    assert revision(store) == ""
    assert upgrade(store) == newest()
    assert drift(store) == []
    assert downgrade(store, "base") == ""
    left = set(inspect(store.engine).get_table_names()) & set(Base.metadata.tables)
    assert left == set()
    assert upgrade(store) == newest()
    assert drift(store) == []
    store.close()


def test_rows_live_through_going_back_and_up_again(store: Store) -> None:
    with store.session() as session:
        site_id = rows.site(session)
        hold = Hold(site_id=site_id, on_date=date(2026, 6, 15))
        put_hold(session, rows.firm(session), hold, rows.NOW)
        who = Technician(name="Invented Person", initials="IP")
        made = crew.put_technician(session, rows.firm(session), who, rows.BY)[0]
        plan = day(route(stop(), technician_id=made), firm_id=rows.firm(session))
        save_day(session, plan, made_by="a test", now=rows.NOW)
    downgrade(store, "0002")
    upgrade(store)
    assert drift(store) == []
    with store.session() as session:
        assert holds_on(session, rows.firm(session), hold.on_date) == [hold]
        assert firms(session)[0].daylight_only
        kept = day_of(session, rows.firm(session), plan.on_date)
        assert kept is not None
        assert kept.routes == plan.routes


def test_the_revisions_that_commands_ask_for_are_those_of_the_tool_that_migrates() -> None:
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()))
    script = ScriptDirectory.from_config(config)
    assert newest() == script.get_current_head()
    assert known_revisions() == {one.revision for one in script.walk_revisions()}
