"""Numbers for the county: shares of overdue systems as plots and tables, and a year's summary."""

from flask import Blueprint, Response, render_template

from registry.records.county_numbers import LateShare, MonthShare
from registry.report.year_rows import year_csv, year_rows
from registry.services.county_numbers import ACT, county_numbers, year_summary
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import reading, today
from web.draw.share_bars import Bar, share_bars

pages = Blueprint("numbers", __name__, url_prefix="/numbers")

YEARS_SHOWN = 5
"""Years, this one included, whose summary the page leads to."""


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show the shares of overdue systems."""
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        numbers = county_numbers(session, viewer(), on_date)
    this_month = on_date.replace(day=1)
    months = [
        Bar(
            f"{present.MONTHS[one.month_end.month - 1]} {one.month_end.year}",
            one.share,
            f"{present.share(one.share)}, {present.number(one.n_overdue)}",
            one.month_end.replace(day=1) == this_month,
        )
        for one in numbers.months
    ]
    return render_template(
        "numbers.html",
        numbers=numbers,
        groups=(
            ("jurisdiction", _plot(numbers.jurisdictions, "jurisdiction"), numbers.jurisdictions),
            ("system type", _plot(numbers.kinds, "system type"), numbers.kinds),
        ),
        months_plot=share_bars(months, "Share overdue at the end of each month", "months"),
        month_rows=[(bar, one) for bar, one in zip(months, numbers.months, strict=True)],
        years=range(on_date.year, on_date.year - YEARS_SHOWN, -1),
        present=present,
    )


@pages.get("/<int:year>")
@needs(ACT)
def year(year: int) -> str:
    """Show the summary of a year."""
    with reading() as session:
        summary = year_summary(session, viewer(), year, today(zone_of(session, viewer())))
    return render_template(
        "year_summary.html", summary=summary, rows=year_rows(summary), present=present
    )


@pages.get("/<int:year>.csv")
@needs(ACT)
def year_file(year: int) -> Response:
    """Send the summary of a year as a table."""
    with reading() as session:
        summary = year_summary(session, viewer(), year, today(zone_of(session, viewer())))
    answer = Response(year_csv(summary), mimetype="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="summary-{year}.csv"'
    return answer


def _plot(shares: tuple[LateShare, ...], by: str) -> str:
    bars = [Bar(one.name, one.share, _said(one)) for one in shares]
    return share_bars(bars, f"Share overdue by {by}", f"by-{by.split(maxsplit=1)[0]}")


def _said(one: LateShare | MonthShare) -> str:
    return f"{present.share(one.share)}, {present.number(one.n_overdue)} of {present.number(one.n)}"
