"""Return to service: nothing left wrong. Every item is answered before the technician goes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from registry.field.place import part_label
from registry.records.systems import Component, ComponentKind

PANEL, FIELD, TANKS, LEAVING = "panel", "field", "tanks", "leaving"
GROUPS = {
    PANEL: "Power and alarm",
    FIELD: "Valves and caps",
    TANKS: "Filter and lids",
    LEAVING: "Ground, gate, tools, people",
}
"""The list in groups of which each is confirmed in one go, its items read out; each classic miss
has a group of its own."""

POWER = frozenset({ComponentKind.CONTROL_PANEL, ComponentKind.DISCONNECT, ComponentKind.PUMP})
ALARM = POWER | {ComponentKind.FLOATS, ComponentKind.PUMP_TANK}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnItem:
    """One thing to answer; ``as_found`` is what is on file, "" where nothing is.

    ``is_classic_miss`` marks the three that are missed most: a valve left shut, a breaker left
    off, a lid left loose (common practice, no source). ``component_id`` is the valve that is meant.
    ``group`` is a key of ``GROUPS``.
    """

    code: str
    text: str
    as_found: str = ""
    is_classic_miss: bool = False
    component_id: int | None = None
    group: str = LEAVING


@dataclass(frozen=True, slots=True)
class _Rule:
    """An item that applies where one of these components is; empty = at every site."""

    code: str
    text: str
    where: frozenset[ComponentKind] = frozenset()
    is_classic_miss: bool = False
    group: str = LEAVING


_BEFORE_VALVES = (
    _Rule("power", "Breaker on, selector at AUTO", POWER, is_classic_miss=True, group=PANEL),
    _Rule("alarm", "Alarm armed and silent", ALARM, group=PANEL),
    _Rule(
        "timer",
        "Timer and floats as found, or the change written down with its reason",
        ALARM,
        group=PANEL,
    ),
)
_FILTER = frozenset({ComponentKind.EFFLUENT_FILTER})
_AFTER_VALVES = (
    _Rule("filter", "Filter back in and seated", _FILTER, group=TANKS),
    _Rule("counter", "Dose counter and elapsed-time meter read once more", POWER, group=PANEL),
)
_AT_THE_END = (
    _Rule("ground", "Probe holes filled, turf put back"),
    _Rule("gate", "Gate left as found"),
    _Rule("tools", "Tools and hose counted"),
    _Rule("wash", "Hands and boots washed"),
    _Rule("owner", "Owner told of anything that cannot wait"),
)


def return_to_service(components: Sequence[Component]) -> tuple[ReturnItem, ...]:
    """Return the items that fit a site's components; all of them where no component is on file."""
    kinds = frozenset(one.kind for one in components)
    return (
        *_fitting(_BEFORE_VALVES, kinds),
        *_valves(components),
        *_caps(components),
        *_fitting(_AFTER_VALVES, kinds),
        _lids(components),
        *_fitting(_AT_THE_END, kinds),
    )


def _fitting(rules: Iterable[_Rule], kinds: frozenset[ComponentKind]) -> list[ReturnItem]:
    return [
        ReturnItem(
            code=rule.code,
            text=rule.text,
            is_classic_miss=rule.is_classic_miss,
            group=rule.group,
        )
        for rule in rules
        if not rule.where or not kinds or rule.where & kinds
    ]


def _valves(components: Sequence[Component]) -> list[ReturnItem]:
    """Return one item per balancing valve with the turns on file, or one for all where none is."""
    valves = [one for one in components if one.kind is ComponentKind.BALANCING_VALVE]
    if not valves:
        needed = not components or any(
            one.kind in {ComponentKind.MANIFOLD, ComponentKind.LATERALS} for one in components
        )
        text = "Every valve at its recorded position"
        every = ReturnItem(code="valves", text=text, is_classic_miss=True, group=FIELD)
        return [every] if needed else []
    return [
        ReturnItem(
            code="valves",
            text=f"{_capital(part_label(valve))} at its recorded position",
            as_found=_turns(valve.turns_open),
            is_classic_miss=True,
            component_id=valve.id,
            group=FIELD,
        )
        for valve in valves
    ]


def _turns(turns_open: float | None) -> str:
    if turns_open is None:
        return "no position on file: write it down"
    if turns_open == 0:
        return "shut"
    return f"{turns_open:g} turn{'' if turns_open == 1 else 's'} open"


def _caps(components: Sequence[Component]) -> list[ReturnItem]:
    ends = sum(one.count or 1 for one in components if one.kind is ComponentKind.PURGE_END)
    if components and not ends:
        return []
    on_file = f"{ends} on file" if ends else ""
    return [ReturnItem(code="caps", text="Cap on every purge end", as_found=on_file, group=FIELD)]


def _lids(components: Sequence[Component]) -> ReturnItem:
    lids = sum(one.count or 1 for one in components if one.kind is ComponentKind.LID)
    return ReturnItem(
        code="lids",
        text="All lids on, fasteners counted, safe against children",
        as_found=f"{lids} lid{'' if lids == 1 else 's'} on file" if lids else "",
        is_classic_miss=True,
        group=TANKS,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
