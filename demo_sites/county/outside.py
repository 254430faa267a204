"""What firms outside the registry send to the county, and who is licensed there."""

from datetime import date, timedelta
from random import Random

from demo_sites.county.calendar import TODAY
from demo_sites.county.households import Cells
from demo_sites.county.names import COUNTY

REEDS, SEDGE = "Reedmace Tank Works", "Sedge & Sons Pumping"
LICENCES = (
    ("M-9001", "maintenance", REEDS, "Bettina Turnipworthy", date(2022, 1, 1), date(2027, 12, 31)),
    ("M-9002", "maintenance", REEDS, "Silas Buttonfoot", date(2019, 4, 1), date(2026, 3, 31)),
    ("M-9003", "maintenance", SEDGE, "Nerys Saddlecroft", date(2024, 7, 1), date(2028, 6, 30)),
    ("P-9004", "pumper", SEDGE, "Nerys Saddlecroft", date(2024, 7, 1), date(2028, 6, 30)),
)


def licences() -> list[Cells]:
    """Return the county's list of licences, as text."""
    names = ("number", "kind", "firm", "person", "valid_from", "valid_to")
    return [
        {name: str(one) for name, one in zip(names, row, strict=True)} | {"jurisdiction": COUNTY}
        for row in LICENCES
    ]


def reports(sites: list[Cells]) -> list[Cells]:
    """Return a file of reports of gravity systems: good rows, then three that cannot be right.

    Some of the others raise a question at a tank whose last readings were very different.

    The last visit was by one whose licence had ended, the one before it names a permit that nobody
    has, the one before that a scum that no tank holds.
    """
    rng = Random(77)
    gravity = [one for one in sites if one["kind"] == "gravity" and one["jurisdiction"] == COUNTY]
    chosen = rng.sample(gravity, 12)
    rows = [_report(rng, one, number) for number, one in enumerate(chosen)]
    rows[1] |= {"findings": "broken or missing baffle", "received": str(TODAY - timedelta(days=1))}
    rows[1]["date"] = str(TODAY - timedelta(days=38))
    rows[9]["scum"] = "75"
    rows[10]["permit_no"] = "WC-00-0000"
    rows[11] |= {"licence": "M-9002", "firm": REEDS}
    return rows


def _report(rng: Random, site: Cells, number: int) -> Cells:
    day = TODAY - timedelta(days=rng.randint(3, 24))
    firm, licence = ((REEDS, "M-9001"), (SEDGE, "M-9003"))[number % 2]
    return {
        "permit_no": site["permit_no"],
        "date": str(day),
        "received": str(min(TODAY, day + timedelta(days=rng.randint(1, 9)))),
        "firm": firm,
        "licence": licence,
        "tasks": "inspection",
        "scum": f"{rng.uniform(1, 6):.1f}",
        "sludge": f"{rng.uniform(3, 11):.1f}",
        "findings": "",
    }
