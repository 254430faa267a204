"""What is noted of a part as found and as left: breaker, selector, alarm, valves, filter, lids."""

from collections.abc import Sequence
from dataclasses import dataclass

from registry.field.place import part_label
from registry.field.return_to_service import ReturnItem
from registry.records.systems import Component, ComponentKind

VALVE = "valve"


@dataclass(frozen=True, slots=True, kw_only=True)
class StateRule:
    """One state: at which parts, the words that it can take, the first of them in order.

    ``item`` is the return-to-service item that its as-left value answers. No ``words``: a number of
    turns.
    """

    what: str
    item: str
    text: str
    words: tuple[str, ...] = ()
    at: ComponentKind | None = None


STATES = (
    StateRule(
        what="breaker",
        item="power",
        text="Breaker",
        words=("on", "off", "tripped"),
        at=ComponentKind.CONTROL_PANEL,
    ),
    StateRule(
        what="selector",
        item="power",
        text="Selector",
        words=("AUTO", "HAND", "off"),
        at=ComponentKind.CONTROL_PANEL,
    ),
    StateRule(
        what="alarm",
        item="alarm",
        text="Alarm",
        words=("armed and silent", "silenced", "sounding", "off"),
        at=ComponentKind.CONTROL_PANEL,
    ),
    StateRule(what=VALVE, item="valves", text="Turns open", at=ComponentKind.BALANCING_VALVE),
    StateRule(
        what="filter",
        item="filter",
        text="Filter",
        words=("in and seated", "out", "damaged"),
        at=ComponentKind.EFFLUENT_FILTER,
    ),
    StateRule(
        what="lids",
        item="lids",
        text="Lids",
        words=("all on and fastened", "one loose", "one broken or missing"),
    ),
)
"""Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StateAsk:
    """One state to note at a site; ``in_order`` is what is expected, "" where nothing is on file.

    ``part`` names the component where a site has several of its kind.
    """

    what: str
    item: str
    text: str
    words: tuple[str, ...]
    in_order: str
    component_id: int | None = None
    part: str = ""

    @property
    def key(self) -> str:
        """What tells it from the others of a site."""
        return state_key(self.what, self.component_id)

    @property
    def label(self) -> str:
        """What people read."""
        return f"{self.text}, {self.part}" if self.part else self.text


def state_key(what: str, component_id: int | None) -> str:
    """Return what tells one state of a site from the others."""
    return f"{what}:{component_id or 0}"


def state_asks(components: Sequence[Component], items: Sequence[ReturnItem]) -> list[StateAsk]:
    """Return the states to note at a site: those whose return-to-service item it has.

    A state is noted at each component of its kind, once for the site where none is on file.
    """
    codes = {item.code for item in items}
    asks = []
    for rule in STATES:
        if rule.item not in codes:
            continue
        at = [one for one in components if rule.at is not None and one.kind is rule.at]
        asks += [_ask(rule, one, len(at) > 1 or not rule.words) for one in at] or [_ask(rule)]
    return asks


def _ask(rule: StateRule, at: Component | None = None, named: bool = False) -> StateAsk:
    in_order = rule.words[0] if rule.words else ""
    if not rule.words and at is not None and at.turns_open is not None:
        in_order = f"{at.turns_open:g}"
    return StateAsk(
        what=rule.what,
        item=rule.item,
        text=rule.text,
        words=rule.words,
        in_order=in_order,
        component_id=at.id if at else None,
        part=part_label(at) if at and named else "",
    )
