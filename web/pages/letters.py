"""Letters to owners of overdue systems: their text, whom to write to, printing and taking out."""

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.report.letter_text import FIELDS
from registry.services.letters import (
    ACT,
    MOST_LETTERS,
    keep_letter_text,
    letter_text,
    letters_csv,
    overdue_sites,
    see_letters,
    write_letters,
)
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import number_in

pages = Blueprint("letters", __name__, url_prefix="/letters")

LATE_DAYS = (1, 30, 90, 180, 365)
"""How many days overdue the page offers to begin at."""


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show the text and whom a letter could go to."""
    days = number_in(request.args.get("days", "")) or LATE_DAYS[1]
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        text = letter_text(session, viewer())
        listed = overdue_sites(session, viewer(), on_date, days)
    return render_template(
        "letters.html",
        text=text,
        fields=FIELDS,
        listed=listed[:MOST_LETTERS],
        n_listed=len(listed),
        days=days,
        late_days=sorted({*LATE_DAYS, days}),
        on_date=on_date,
        present=present,
    )


@pages.post("/text")
@needs(ACT)
def keep_text() -> AnyResponse:
    """Keep another text."""
    with writing() as session:
        keep_letter_text(session, viewer(), request.form.get("text", ""))
    flash("The text is kept.")
    return redirect(url_for("letters.show"))


@pages.post("/write")
@needs(ACT)
def write() -> AnyResponse:
    """Write letters for the chosen sites and show them."""
    chosen = {number_in(one) for one in request.form.getlist("site")} - {None}
    if not chosen:
        raise RangeError("Choose at least one site.")
    with writing() as session:
        on_date = today(zone_of(session, viewer()))
        sites = [one for one in chosen if one is not None]
        batch, n = write_letters(session, viewer(), sites, on_date, parts().now())
    flash(f"{present.count(n, 'letter')} written, each noted on the file of its site.")
    return redirect(url_for("letters.batch", batch=batch))


@pages.get("/<batch>")
@needs(ACT)
def batch(batch: str) -> str:
    """Show the letters of a batch, one to a page on paper."""
    with reading() as session:
        written = see_letters(session, viewer(), batch)
    return render_template("letters_batch.html", batch=batch, written=written, present=present)


@pages.get("/<batch>.csv")
@needs(ACT)
def as_csv(batch: str) -> Response:
    """Send the letters of a batch as a table."""
    with reading() as session:
        text = letters_csv(see_letters(session, viewer(), batch))
    answer = Response(text, mimetype="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = 'attachment; filename="letters.csv"'
    return answer
