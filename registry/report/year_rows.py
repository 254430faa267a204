"""The summary of a year as rows: what was counted, how much, and what is not known."""

from typing import NamedTuple

from registry.records.county_numbers import YearSummary
from registry.report.csv_text import csv_text

COLUMNS = ("what", "number", "unit", "note")


class YearRow(NamedTuple):
    """One line of the summary."""

    what: str
    number: int
    unit: str = ""
    note: str = ""


def year_rows(one: YearSummary) -> list[YearRow]:
    """Return the lines of a year's summary, in the order in which a county asks."""
    no_date = f"{one.n_installed_unknown:,} of them without a date of installation"
    reckoned = "by the interval of today, counted from the visit before"
    return [
        YearRow("Systems on file", one.n_systems, note=no_date if one.n_installed_unknown else ""),
        *(YearRow(f"Systems: {kind}", n) for kind, n in one.n_by_kind.items()),
        YearRow("Visits", one.n_visits, note="as they stand, corrected ones once"),
        YearRow("Systems at which a task was done", one.n_systems_visited),
        YearRow(
            "Systems at which none was",
            max(one.n_systems - one.n_systems_visited, 0),
            note="owed one or not: the due list says which",
        ),
        YearRow("Tasks done", one.n_tasks),
        YearRow("Tasks done on time", one.n_on_time, note=reckoned),
        YearRow("Tasks done late", one.n_late, note=reckoned),
        YearRow(
            "Tasks of which that is not known",
            one.n_time_unknown,
            note="no visit before on file, or the date follows from a reading",
        ),
        *(
            YearRow(f"Findings: {seriousness or 'not graded'}", n)
            for seriousness, n in one.n_findings.items()
        ),
        YearRow("Findings of the year that are mended", one.n_mended, note="until today"),
        YearRow("Serious findings that are mended", one.n_serious_mended, note="until today"),
        YearRow(
            "Serious findings still open",
            one.n_serious - one.n_serious_mended,
            note="no note says that they are mended",
        ),
        YearRow("Pump-outs", one.n_pumped),
        YearRow("Pump-outs without a volume on file", one.n_volume_unknown),
        YearRow("Pumped, as far as on file", round(one.pumped_gal), "gal"),
        YearRow("Letters written to owners", one.n_letters),
    ]


def year_csv(one: YearSummary) -> str:
    """Return the lines of a year's summary as CSV."""
    return csv_text(COLUMNS, [row._asdict() for row in year_rows(one)])
