"""Rows of the files that tell of rivers: gauges, centrelines, levels, stages, low points."""

from collections.abc import Sequence
from dataclasses import dataclass

from registry.imports.cells import Fault
from registry.imports.column_map import ColumnMap
from registry.imports.fields import LAT, LON, Field
from registry.imports.rows import Rows
from registry.records.elevation import UNKNOWN_DATUM, datum_named

_GAUGE = Field(name="gauge", kind="name", also=("gaugename", "gage", "gagename", "gaugeid", "name"))
_DATUM = Field(name="datum", also=("verticaldatum", "elevationdatum", "vdatum"))
_STAGE = Field(
    name="stage_ft", kind="number", unit="ft", low=-100.0, high=300.0,
    also=("stage", "gageheight", "gageheightft", "gaugeheight", "gaugeheightft"),
)  # fmt: skip


def _feet(name: str, *also: str) -> Field:
    return Field(name=name, kind="number", unit="ft", low=-1_500.0, high=30_000.0, also=also)


def _miles(name: str, *also: str) -> Field:
    return Field(name=name, kind="number", unit="mi", low=-10.0, high=4_000.0, also=also)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiverKind:
    """One kind of file: its fields, those without which a row says nothing, and its geometry."""

    name: str
    fields: tuple[Field, ...]
    needed: tuple[str, ...]
    elevation: str = ""

    @property
    def needs_gauge(self) -> bool:
        """Whether its rows belong to a gauge that is known already."""
        return "gauge" in self.needed and self.name != "gauges"


KINDS = {
    one.name: one
    for one in (
        RiverKind(
            name="gauges",
            fields=(
                _GAUGE,
                Field(name="river"),
                _miles("station_mi", "rivermile", "rm"),
                _feet("zero_ft", "gagedatum", "gaugedatum", "gaugezero", "altitude"),
                _DATUM,
                Field(name="slope_ft_per_mi", kind="number", unit="ft/mi", high=500.0),
                Field(name="credit"),
            ),
            needed=("gauge",),
            elevation="zero_ft",
        ),
        RiverKind(
            name="river",
            fields=(
                _GAUGE,
                Field(name="river"),
                _miles("first_mi", "frommi", "fromstation"),
                _miles("last_mi", "tomi", "tostation"),
            ),
            needed=("gauge", "first_mi", "last_mi"),
        ),
        RiverKind(
            name="levels",
            fields=(
                _GAUGE,
                _STAGE,
                _miles("station_mi", "rivermile", "rm"),
                _feet("surface_ft", "watersurface", "watersurfaceft", "wsel", "level"),
                _DATUM,
            ),
            needed=("gauge", "stage_ft", "station_mi", "surface_ft"),
            elevation="surface_ft",
        ),
        RiverKind(
            name="stages",
            fields=(
                _GAUGE,
                Field(name="at", kind="moment", also=("time", "moment", "datetime")),
                _STAGE,
                Field(name="forecast", kind="yes-no"),
            ),
            needed=("gauge", "at", "stage_ft"),
        ),
        RiverKind(
            name="low-points",
            fields=(
                Field(name="name", kind="name", also=("road", "place", "lowpoint")),
                LON,
                LAT,
                _feet("elevation_ft", "elevation"),
                _DATUM,
                Field(name="source"),
            ),
            needed=("name",),
            elevation="elevation_ft",
        ),
    )
}


def check(kind: RiverKind, mapped: ColumnMap, rows: Rows, gauges: Sequence[str]) -> None:
    """Note what is wrong with rows beyond single cells.

    Parameters
    ----------
    gauges
        The gauges that are known; other files may name only these.
    """
    for name in kind.needed:
        column = mapped.columns.get(name, name)
        for i, value in enumerate(rows.values[name]):
            if value in (None, "") and i not in rows.faults:
                rows.fault(i, column, Fault("it is empty", f"Give the {name}"))
    if kind.elevation:
        _check_datums(kind.elevation, rows)
    if kind.needs_gauge:
        _check_gauges(rows, gauges)
    if kind.name == "river":
        _check_ends(rows)


def _check_gauges(rows: Rows, gauges: Sequence[str]) -> None:
    known = ", ".join(gauges) or "none yet: import gauges first"
    for i, name in enumerate(rows.values["gauge"]):
        if i not in rows.faults and name not in gauges:
            fault = Fault(f"“{name}” is no gauge that is known", f"Known are {known}")
            rows.fault(i, "gauge", fault)


def _check_ends(rows: Rows) -> None:
    for i, (one, other) in enumerate(
        zip(rows.values["first_mi"], rows.values["last_mi"], strict=True)
    ):
        if i not in rows.faults and one == other:
            fault = Fault("both ends have one river station", "Give the station of each end")
            rows.fault(i, "last_mi", fault)


def _check_datums(elevation: str, rows: Rows) -> None:
    datums = rows.values.get("datum") or [None] * len(rows.sheet)
    for i, value in enumerate(rows.values.get(elevation) or []):
        if value is not None and datum_named(datums[i]) == UNKNOWN_DATUM and i not in rows.faults:
            fault = Fault(
                "the elevation has no vertical datum, so it cannot be compared",
                "Give datum, for example NAVD88",
            )
            rows.fault(i, "datum", fault)
