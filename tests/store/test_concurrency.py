"""Four processes that read, then write one site lose no change, on both stores."""

import subprocess
import sys
from datetime import datetime
from pathlib import Path

from registry.store import Store, history, sites
from tests.store import rows

WRITER = """
import sys
from datetime import UTC, datetime
from registry.store import open_store, sites
store, site_id = open_store(sys.argv[1]), int(sys.argv[2])
for _ in range(100):
    with store.session() as session:
        read = sites.site(session, site_id, for_change=True)
        sites.change_site(
            session, who=sys.argv[3], now=datetime(2026, 6, 15, tzinfo=UTC), site_id=site_id,
            fields={"note": str(int(read.note) + 1)},
        )
"""


def test_four_writers_with_a_hundred_changes_each_lose_none(
    store: Store, store_url: str, now: datetime
) -> None:
    with store.session() as session:
        site_id = rows.site(session, note="0")
    folder = Path(__file__).parents[2]
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, store_url, str(site_id), f"writer {n}"], cwd=folder
        )
        for n in range(4)
    ]
    assert [one.wait() for one in writers] == [0, 0, 0, 0]
    with store.session() as session:
        assert sites.site(session, site_id).note == "400"
        lines = [one for one in history.history_of(session, site_id) if one.field == "note"]
    assert [one.after for one in reversed(lines)] == [str(n) for n in range(1, 401)]
    assert all(int(one.after) == int(one.before) + 1 for one in lines)
