"""Whatever a file holds, it is read or refused in a sentence: no other error, no end of memory.

Good files are harmed at chance: cut, doubled, or with bytes and words in them that parsers have
stumbled over. ``--hypothesis-profile=long`` tries four hundred of each kind.
"""

import resource
import shutil
import zipfile
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from registry.due.rules_file import read_rules
from registry.errors import RegistryError
from registry.imports.closure_file import ClosureDays, closures_in
from registry.imports.column_map import read_map
from registry.imports.copy_file import opened_copy
from registry.imports.crew_file import read_crew
from registry.solvers.instances import read_instance
from tests.unit.imports.files import feature, geojson, layer, read

MOST_BYTES = 500_000_000
"""More memory than this no file may cost."""
COUNTY = Path(__file__).parents[3] / "demo_sites" / "files"
MANY = settings().max_examples if settings().max_examples > 100 else 12
WORDS = (
    b"", b"\0", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"'", b",", b";", b"\t", b"\r", b"\n", b"{",
    b"[", b"]", b"}", b"\\", b"null", b"NaN", b"-Infinity", b"1e999", b"9" * 400, b"-1", b"true",
    b"<!DOCTYPE a [<!ENTITY b SYSTEM 'file:///etc/passwd'>]>", b"../../x", b"[" * 3000, b"=1+1",
    b'{"a":' * 3000, b"%s%n", "ünï".encode(), "\u202e".encode(), b"2026-02-30", b"24:00", b"a = [",
)  # fmt: skip


@some.composite
def harms(draw: some.DrawFn) -> Callable[[bytes], bytes]:
    """Draw a harm to be done to a file: up to four cuts, and words put in at chance."""
    steps = draw(
        some.lists(
            some.tuples(some.floats(0, 1), some.integers(0, 40), some.sampled_from(WORDS)),
            min_size=1,
            max_size=4,
        )
    )
    end = draw(some.sampled_from([1.0, 1.0, 1.0, 0.5, 0.01]))

    def harmed(body: bytes) -> bytes:
        for share, gone, word in steps:
            at = int(share * len(body))
            body = body[:at] + word + body[at + gone :]
        return body[: int(end * len(body))]

    return harmed


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One good file of each kind, small."""
    folder = tmp_path_factory.mktemp("good")
    for name in ("sites.csv", "readings.csv"):
        lines = (COUNTY / name).read_bytes().splitlines(keepends=True)
        (folder / name).write_bytes(b"".join(lines[:12]))
    shutil.copy(COUNTY / "crew.toml", folder)
    shutil.copy(COUNTY / "rules.toml", folder)
    (folder / "map.toml").write_text(
        'key = "no"\ndecimal = ","\n[fields]\nlon = "x"\nlat = "y"\nkind = { value = "mound" }\n'
        '[values.kind]\nold = "mound"\n[crs]\nname = "EPSG:2927"\n[units]\nsize = "L"\n'
    )
    geojson(folder, feature((-140.0, 45.0), no="1", kind="mound"), feature(None, no=2))
    line = {"type": "LineString", "coordinates": [[-140, 45], [-140.01, 45]]}
    geojson(folder, feature(line, name="a", hours="08:00-12:00"), name="closures.geojson")
    layer(folder / "sites.gpkg", [(-140.0, 45.0), None], no=["1", "2"])
    layer(folder / "sites.shp", [(-140.0, 45.0), (-141.0, 45.0)], no=["1", "2"])
    with zipfile.ZipFile(folder / "sites.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.write(folder / "sites.csv", "sites.csv")
    (folder / "day.json").write_text(
        '{"format": "service-day/1", "technicians": [], "visits": [], "durations_s": [[0]]}'
    )
    _copy(folder / "copy.zip")
    return folder


def _copy(path: Path) -> None:
    from registry.services.copy_store import copy_out
    from registry.store import open_store
    from registry.store.migrate import upgrade
    from tests.store import rows

    store = open_store("sqlite:///" + str(path.with_suffix(".sqlite")))
    upgrade(store)
    with store.session() as session:
        rows.site(session, "A-1")
    copy_out(store, path, rows.NOW)
    store.close()


def _all_of_a_copy(path: Path) -> None:
    with opened_copy(path) as copy:
        for one in copy.head.tables:
            for _ in copy.rows(one):
                pass


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")


READERS: dict[str, Callable[[Path], object]] = {
    "sites.csv": read,
    "readings.csv": read,
    "sites.geojson": read,
    "sites.gpkg": read,
    "sites.shp": read,
    "sites.zip": read,
    "map.toml": lambda path: read_map(path, []),
    "crew.toml": read_crew,
    "rules.toml": lambda path: read_rules(_text(path), path.name),
    "closures.geojson": lambda path: closures_in(path, ClosureDays(first_on=date(2026, 6, 15))),
    "day.json": read_instance,
    "copy.zip": _all_of_a_copy,
}


@pytest.fixture
def bounded() -> Iterator[None]:
    """Fail where a test cost more memory than a file may."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    yield
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024
    assert grown < MOST_BYTES


@pytest.mark.usefixtures("bounded")
@pytest.mark.parametrize("name", READERS)
@settings(max_examples=MANY, suppress_health_check=list(HealthCheck))
@given(harm=harms())
def test_a_harmed_file_is_read_or_refused_in_a_sentence(
    name: str, harm: Callable[[bytes], bytes], good: Path, tmp_path: Path
) -> None:
    for beside in good.glob(f"{Path(name).stem}.*"):
        shutil.copy(beside, tmp_path)
    path = tmp_path / name
    path.write_bytes(harm((good / name).read_bytes()))
    try:
        READERS[name](path)
    except RegistryError as wrong:
        said = str(wrong)
    else:
        said = ""
    assert "Traceback" not in said
