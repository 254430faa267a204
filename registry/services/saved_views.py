"""Saved views of the county map: named by a sign-in, for that sign-in alone."""

from collections.abc import Mapping

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.due_rows import SavedView
from registry.records.filter_text import filter_of, texts_of
from registry.store import Session, views

ACT = "see the county map"
MOST_VIEWS = 40
"""Views of one sign-in."""
LONGEST_NAME = 60
"""A view's name. [letters]"""


def saved_views(session: Session, viewer: Viewer) -> list[SavedView]:
    """Return the viewer's own views by name.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    """
    require(viewer, ACT)
    return views.views_of(session, viewer.user_id)


def save_view(session: Session, viewer: Viewer, name: str, asked: Mapping[str, str]) -> str:
    """Keep filters under a name; a view of the same name takes the new ones. Return the name.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    RangeError
        If there is no name, it is too long, a filter is not understood, or there are too many.
    """
    require(viewer, ACT)
    called = " ".join(name.split())
    if not called or len(called) > LONGEST_NAME or not called.isprintable():
        raise RangeError(f"Give the view a name of at most {LONGEST_NAME} letters.")
    known = [one.name for one in views.views_of(session, viewer.user_id)]
    if called not in known and len(known) >= MOST_VIEWS:
        raise RangeError(f"There are {MOST_VIEWS} views already. Forget one first.")
    views.keep_view(session, viewer.user_id, called, texts_of(filter_of(asked)))
    return called


def forget_view(session: Session, viewer: Viewer, view_id: int) -> None:
    """Forget one of the viewer's own views.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    NotFoundError
        If there is no such view, or it is another's: both are answered alike.
    """
    require(viewer, ACT)
    if not views.forget_view(session, viewer.user_id, view_id):
        raise NotFoundError("There is no such view, or it is not yours.")
