"""Rows of past visits as visits with tasks and readings, under ids that stay the same."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID, uuid5

from registry.imports.cells import Fault
from registry.imports.fields import Field
from registry.imports.numbers import numbers
from registry.imports.rows import Rows
from registry.records.systems import Component

VISITS = UUID("6f1f6a0e-8d5b-5c39-9a67-6f6c6f7d2a10")
"""Name space of the ids of imported visits; any number of our own."""

_VALUE = Field(name="value", kind="number", low=-1e12, high=1e12)


@dataclass(slots=True, kw_only=True)
class GivenReading:
    """One value that a row gives; ``root`` is the id of the first reading in its place."""

    row: int
    root: str
    system_id: int
    component_id: int | None
    kind: str
    value: float | None
    text: str
    unit: str
    note: str


@dataclass(slots=True, kw_only=True)
class GivenVisit:
    """One visit that rows give; ``root`` is the id under which it was first recorded.

    ``outcome`` and ``note`` are "" where no row says any.
    """

    root: str
    site_id: int
    on_date: date
    technician: str
    outcome: str = ""
    note: str = ""
    rows: list[int] = field(default_factory=list)
    done: dict[tuple[int, str], int] = field(default_factory=dict)
    readings: list[GivenReading] = field(default_factory=list)


@dataclass
class VisitRows:
    """Gathers rows into visits; what is remembered over sheets keeps the ids the same."""

    firm: str
    decimal: str = "."
    _times: Counter[str] = field(default_factory=Counter)

    def root(self, rows: Rows, i: int) -> str:
        """Return the id of the visit that a row belongs to."""
        named = [rows.values["site"][i], rows.values["date"][i].isoformat()]
        named += [_text(rows, name, i) for name in ("technician", "visit")]
        return str(uuid5(VISITS, "\n".join([self.firm, *named])))

    def check_agreement(self, rows: Rows) -> None:
        """Note where rows of one visit say different outcomes or notes."""
        said: dict[tuple[str, str], str] = {}
        for i in rows.good():
            root = self.root(rows, i)
            for name in ("outcome", "visit_note"):
                value = _text(rows, name, i)
                if value and said.setdefault((root, name), value) != value:
                    wrong = f"another row of this visit says “{said[root, name]}”"
                    rows.fault(i, name, Fault(wrong, "Let the rows of a visit agree"))

    def visits(
        self,
        rows: Rows,
        good: Sequence[int],
        sites: Mapping[int, int],
        systems: Mapping[int, int],
        components: Mapping[int, int | None],
    ) -> list[GivenVisit]:
        """Return the visits that good rows give; the mappings are by row index."""
        found: dict[str, GivenVisit] = {}
        for i in good:
            root = self.root(rows, i)
            visit = found.get(root)
            if visit is None:
                visit = found[root] = GivenVisit(
                    root=root,
                    site_id=sites[i],
                    on_date=rows.values["date"][i],
                    technician=_text(rows, "technician", i),
                )
            visit.rows.append(i)
            visit.outcome = visit.outcome or _text(rows, "outcome", i)
            visit.note = visit.note or _text(rows, "visit_note", i)
            task = _text(rows, "task", i)
            if task:
                visit.done.setdefault((systems[i], task), i)
            if _text(rows, "kind", i):
                visit.readings.append(self._reading(rows, i, root, systems[i], components[i]))
        return list(found.values())

    def _reading(
        self, rows: Rows, i: int, visit: str, system_id: int, component_id: int | None
    ) -> GivenReading:
        kind, given = _text(rows, "kind", i), _text(rows, "value", i)
        place = [_text(rows, name, i).casefold() for name in ("system", "component")]
        like = "\n".join([visit, *place, kind.casefold()])
        self._times[like] += 1
        (value,), wrong = numbers([given], _VALUE, decimal=self.decimal)
        is_text = bool(wrong) or value is None
        return GivenReading(
            row=i,
            root=str(uuid5(VISITS, f"{like}\n{self._times[like]}")),
            system_id=system_id,
            component_id=component_id,
            kind=kind,
            value=None if is_text else value,
            text=given if is_text else "",
            unit=_text(rows, "unit", i),
            note=_text(rows, "note", i),
        )


def component_named(name: str, parts: Sequence[Component]) -> int | Fault:
    """Return the id of the component with a label, or of the only one of a kind."""
    wanted = name.casefold()
    labelled = [one.id for one in parts if one.label.casefold() == wanted]
    fitting = labelled or [one.id for one in parts if one.kind.value == wanted]
    if len(fitting) == 1:
        return fitting[0]
    names = ", ".join(dict.fromkeys(one.label or one.kind.value for one in parts)) or "none"
    several = "several components" if fitting else "no component"
    return Fault(f"the system has {several} named {name}", f"Name one of its labels: {names}")


def corrected(root: str, times: int) -> str:
    """Return the id of the n-th correction of what was first recorded under an id."""
    return str(uuid5(VISITS, f"{root}\ncorrection {times}"))


def _text(rows: Rows, name: str, i: int) -> str:
    values = rows.values.get(name)
    return (values[i] or "") if values else ""
