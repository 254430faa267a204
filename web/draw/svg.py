"""SVG as text: elements, words with a halo, and the frame that gives a picture its name."""

import re
from html import escape

from registry.errors import RangeError
from web.draw.ink import INK, PAPER, SANS

type Attribute = str | float | int | None

_IDENT = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff\ud800-\udfff]")
_GLYPH_SHARE = 0.62
"""Mean width of a letter by its size in the widest of our fonts; our estimate, from figures."""


def number(value: float) -> str:
    """Return a coordinate with at most two decimals and no trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def plain(text: str) -> str:
    """Return text safe inside an element or attribute; signs that XML forbids are dropped."""
    return escape(_NOT_IN_XML.sub("", text), quote=True)


def element(name: str, *children: str, **attributes: Attribute) -> str:
    """Return one element; ``children`` are markup already, attribute values are escaped here.

    ``stroke_width`` becomes ``stroke-width``, ``class_`` becomes ``class``; None leaves one out.
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    inner = "".join(children)
    return f"<{name}{written}>{inner}</{name}>" if inner else f"<{name}{written}/>"


def _value(value: str | float) -> str:
    return plain(value) if isinstance(value, str) else number(value)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: Attribute) -> str:
    """Return a straight stroke."""
    attributes.setdefault("stroke", INK)
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def words(x: float, y: float, content: str, size: float = 13, **attributes: Attribute) -> str:
    """Return one line of text; ``halo=1`` lays paper under it so that no line crosses it."""
    halo = attributes.pop("halo", None)
    attributes.setdefault("fill", INK)
    attributes.setdefault("font_family", SANS)
    if halo:
        attributes |= {
            "stroke": PAPER,
            "stroke_width": 3.5,
            "stroke_linejoin": "round",
            "paint_order": "stroke",
        }
    return element("text", plain(content), x=x, y=y, font_size=size, **attributes)


def words_width(content: str, size: float) -> float:
    """Return about how wide a line of text will be; on the wide side."""
    return len(content) * size * _GLYPH_SHARE


def fitted(content: str, size: float, width: float) -> str:
    """Return the text, cut with an ellipsis where it would be wider than ``width``."""
    fits = int(width / (size * _GLYPH_SHARE))
    return content if len(content) <= fits else content[: max(fits - 1, 1)].rstrip() + "…"


def picture(
    ident: str,
    title: str,
    description: str,
    box: tuple[float, float, float, float],
    *body: str,
    size: tuple[float, float] | None = None,
    class_: str = "picture",
) -> str:
    """Return a whole SVG with role, title and description.

    Parameters
    ----------
    ident
        Start of the ids inside; letters, digits, hyphen and underscore, unique on a page.
    title, description
        What it is, and what it says, for people who don't see it.
    box
        The view box: left, top, width, height.
    body
        Elements inside.
    size
        Width and height on the page; the view box's own where left out. [px]
    class_
        Class for the style sheet.

    Raises
    ------
    RangeError
        If ``ident`` could not be an id.
    """
    if not _IDENT.fullmatch(ident):
        raise RangeError(f"“{plain(ident)}” cannot name a picture: use letters, digits, - and _.")
    width, height = size or box[2:]
    return element(
        "svg",
        element("title", plain(title), id=f"{ident}-title"),
        element("desc", plain(description), id=f"{ident}-desc"),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        id=ident,
        class_=class_,
        aria_labelledby=f"{ident}-title",
        aria_describedby=f"{ident}-desc",
        viewBox=" ".join(number(edge) for edge in box),
        width=width,
        height=height,
    )
