"""The signs of a pace dial: one shape for each family of parts, so that colour is not needed."""

from web.draw.ink import INK, PAPER, WATER
from web.draw.svg import Attribute, element, line

ROUND = frozenset({"septic tank", "pump tank", "treatment unit", "lid", "pump", "floats"})
FULL = frozenset({"control panel", "disconnect"})
BOX = frozenset({"distribution box", "manifold", "balancing valve", "effluent filter"})
PORT = frozenset({"monitoring well", "vent", "cleanout"})
END = frozenset({"purge end"})
FIELD = frozenset({"laterals", "sand filter", "mound", "at-grade", "drainfield"})

BELOW_WORDS = "below BFE"
SIGN_WORDS = (
    ("septic tank", "tank or lid"),
    ("control panel", "panel"),
    ("balancing valve", "box or valve"),
    ("monitoring well", "well or port"),
    ("purge end", "purge end"),
    ("laterals", "field"),
    ("lid", BELOW_WORDS),
)
"""One kind of each family, and what the family is called; last, what water means."""


def sign(x: float, y: float, kind: str, is_below_bfe: bool = False, is_sure: bool = True) -> str:
    """Return a part's sign; filled with water over a wave = below the base flood elevation.

    ``is_sure`` False draws it broken: one of two possible places.
    """
    pen: dict[str, Attribute] = {
        "fill": WATER if is_below_bfe else INK if kind in FULL else PAPER,
        "stroke": WATER if is_below_bfe else INK,
        "stroke_width": 2,
        "stroke_dasharray": None if is_sure else "2.4 1.8",
    }
    body = _outline(x, y, kind, pen) + _inside(x, y, kind, PAPER if is_below_bfe else INK)
    if not is_below_bfe:
        return body
    wave = f"M{x - 9:.1f},{y + 11:.1f} q2.25,-3.6 4.5,0 t4.5,0 t4.5,0 t4.5,0"
    return body + element("path", d=wave, fill="none", stroke=WATER, stroke_width=1.8)


def _outline(x: float, y: float, kind: str, pen: dict[str, Attribute]) -> str:
    if kind in ROUND:
        return element("circle", cx=x, cy=y, r=6.6, **pen)
    if kind in PORT:
        return element("circle", cx=x, cy=y, r=4.6, **pen)
    if kind in END:
        return element("path", d=f"M{x:.1f},{y - 6.5:.1f} l6.2,11 h-12.4 z", **pen)
    wide, high = (11, 13) if kind in FULL else (16, 11) if kind in FIELD else (11, 11)
    if kind in FULL | BOX | FIELD:
        return element("rect", x=x - wide / 2, y=y - high / 2, width=wide, height=high, **pen)
    return element("path", d=f"M{x:.1f},{y - 7:.1f} l7,7 l-7,7 l-7,-7 z", **pen)


def _inside(x: float, y: float, kind: str, ink: str) -> str:
    if kind in ROUND:
        bolts = ((-2.4, -2.4), (2.4, -2.4), (2.4, 2.4), (-2.4, 2.4))
        return "".join(element("circle", cx=x + dx, cy=y + dy, r=0.9, fill=ink) for dx, dy in bolts)
    if kind in PORT:
        return element("circle", cx=x, cy=y, r=1.7, fill=ink)
    if kind in FIELD:
        return "".join(
            line(x - 6.5, y + dy, x + 6.5, y + dy, stroke=ink) for dy in (-2.4, 0.2, 2.8)
        )
    return ""
