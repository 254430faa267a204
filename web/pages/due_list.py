"""The Due list: what is owed, oldest first, each with the rule behind it and how it came about."""

from flask import Blueprint, render_template, request, url_for

from registry.privacy import may
from registry.services.see_due import DueView, see_due
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import reading, today
from web.forms import after_in, days_ahead_in

pages = Blueprint("due_list", __name__, url_prefix="/due")

AHEAD = (
    ("0", "until today"),
    ("7", "until a week from now"),
    ("30", "until 30 days from now"),
    ("90", "until 90 days from now"),
    ("365", "until a year from now"),
)
"""Value in the address → words in the list to choose from."""


@pages.get("/")
@needs("see the due list")
def show() -> str:
    """Show one page of the list."""
    within_days = days_ahead_in(request.args.get("within", ""))
    after = after_in(request.args, "due", "obligation")
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        view = see_due(session, viewer(), on_date, within_days, after)
    return render_template(
        "due_list.html",
        view=view,
        ahead=_choices(within_days),
        next_url=_next_url(view),
        is_first=after is None,
        may_read_gate=may(viewer(), "read a gate sheet"),
        present=present,
    )


def _choices(within_days: int) -> list[tuple[str, str, bool]]:
    """Return value, words and whether chosen; a number of days of one's own is kept in the list."""
    own = str(within_days)
    offered = list(AHEAD)
    if own not in dict(AHEAD):
        offered.append((own, f"until {present.count(within_days, 'day')} from now"))
    return [(value, said, value == own) for value, said in offered]


def _next_url(view: DueView) -> str:
    if view.after is None:
        return ""
    due, obligation_id = view.after
    return url_for(
        "due_list.show", within=view.within_days, due=due.isoformat(), obligation=obligation_id
    )
