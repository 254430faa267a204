"""Where the river's surface stands along its length, for each stage that a gauge can show.

Stage is a height above the zero of one gauge. The level at a site is not the level at the gauge: it
is carried along the river by a profile, a table of surfaces at river stations for some stages, as a
flood study prints it. Between two stations and between two stages the surface is a straight line;
beyond the last of either nothing is known, and nothing is said (never to extrapolate: common
practice, no source).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from registry.errors import RangeError
from registry.records.elevation import Elevation, datum_named

type FloatArray = NDArray[np.float64]

BACKWARD_FT = 0.05
"""By how much a table may sink upstream or with a rising stage: half the last digit that flood
studies print."""


def water_surface(stage_ft: float, gauge_zero: Elevation) -> Elevation:
    """Return the elevation of the water at a gauge.

    Parameters
    ----------
    stage_ft
        Height of the water above the gauge's zero. [ft]
    gauge_zero
        Elevation of stage zero, the datum of the gauge.

    References
    ----------
    US Geological Survey, "Gage height and gage datum": elevation = gage datum + gage height.
    """
    return Elevation(gauge_zero.value_ft + stage_ft, gauge_zero.datum)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiverProfile:
    """The surfaces of one river by stage of one gauge; made by ``profile_of`` or ``sloped``.

    ``stages_ft`` (s,) and ``stations_mi`` (r,) rise; stations are miles above the river's mouth.
    ``surface_ft`` (s, r) is the elevation of the water above ``datum``; it never sinks with the
    stage.
    """

    stages_ft: FloatArray
    stations_mi: FloatArray
    surface_ft: FloatArray
    datum: str

    def surface_at(self, stage_ft: float, stations_mi: ArrayLike) -> FloatArray:
        """Return the elevation of the water at stations, NaN beyond the profile.

        Parameters
        ----------
        stage_ft
            Stage at the gauge. [ft]
        stations_mi
            Places along the river, (n,). [mi above the mouth]

        Returns
        -------
        (n,) array
            Elevation above ``datum``. [ft]
        """
        lowest, highest = self.stages_ft[0], self.stages_ft[-1]
        if not lowest <= stage_ft <= highest:
            return np.full(np.shape(stations_mi), np.nan)
        upper = min(
            int(np.searchsorted(self.stages_ft, stage_ft, "right")), len(self.stages_ft) - 1
        )
        share = (stage_ft - self.stages_ft[upper - 1]) / np.diff(self.stages_ft)[upper - 1]
        along = (1 - share) * self.surface_ft[upper - 1] + share * self.surface_ft[upper]
        places = np.asarray(stations_mi, np.float64)
        level: FloatArray = np.interp(places, self.stations_mi, along, np.nan, np.nan)
        return level

    def stage_that_reaches(self, elevations_ft: ArrayLike, stations_mi: ArrayLike) -> FloatArray:
        """Return the lowest stage at which the water stands as high as things beside the river.

        Water that just touches counts as reached. For every stage of the profile it holds that
        ``surface_at`` is as high as the thing if, and only if, the stage is at least the one
        returned; so a higher stage never dries anything.

        Parameters
        ----------
        elevations_ft, stations_mi
            Lowest part of each thing [ft above ``datum``] and its place along the river [mi above
            the mouth], (n,).

        Returns
        -------
        (n,) array
            Stage [ft]; minus infinity where the lowest stage of the profile reaches it already,
            infinity where the highest does not, NaN beyond the profile or without an elevation.
        """
        z = np.asarray(elevations_ft, np.float64)
        station = np.asarray(stations_mi, np.float64)
        levels = self._levels_at(station)
        below = (levels < z[:, None]).sum(axis=1)  # how many stages leave it dry
        last = len(self.stages_ft) - 1
        upper = np.clip(below, 1, last)
        rows = np.arange(len(z))
        from_ft, to_ft = levels[rows, upper - 1], levels[rows, upper]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (z - from_ft) / (to_ft - from_ft)
        reached = self.stages_ft[upper - 1] + share * (
            self.stages_ft[upper] - self.stages_ft[upper - 1]
        )
        reached = np.where(below == 0, -np.inf, np.where(below > last, np.inf, reached))
        return np.where(np.isnan(levels[:, 0]) | np.isnan(z), np.nan, reached)

    def _levels_at(self, stations_mi: FloatArray) -> FloatArray:
        """Return the surface of each stage at stations, (n, s), NaN beyond the profile."""
        known = self.stations_mi
        inside = (stations_mi >= known[0]) & (stations_mi <= known[-1])
        place = np.where(inside, stations_mi, known[0])
        right = np.clip(np.searchsorted(known, place, "right"), 1, len(known) - 1)
        share = ((place - known[right - 1]) / (known[right] - known[right - 1]))[:, None]
        levels = (1 - share) * self.surface_ft[:, right - 1].T + share * self.surface_ft[:, right].T
        return np.where(inside[:, None], levels, np.nan)


def profile_of(
    stages_ft: ArrayLike, stations_mi: ArrayLike, surface_ft: ArrayLike, datum: str
) -> RiverProfile:
    """Return a profile from a table, in any order of rows, once it was checked.

    Parameters
    ----------
    stages_ft, stations_mi, surface_ft
        One row for each stage and station, (n,). [ft, mi above the mouth, ft above ``datum``]
    datum
        Vertical datum of the surfaces.

    Raises
    ------
    RangeError
        If a stage lacks a station, a pair is given twice, a number is missing, there are fewer than
        two stages or stations, or the water sinks upstream or while the stage rises.
    """
    stage, station = np.asarray(stages_ft, np.float64), np.asarray(stations_mi, np.float64)
    surface = np.asarray(surface_ft, np.float64)
    if not (np.isfinite(stage) & np.isfinite(station) & np.isfinite(surface)).all():
        raise RangeError("a stage, a river station or a surface is no number: give all three")
    stages, which_stage = np.unique(stage, return_inverse=True)
    stations, which_station = np.unique(station, return_inverse=True)
    if len(stages) < 2 or len(stations) < 2:
        raise RangeError("a profile needs at least two stages and two river stations")
    times = np.zeros((len(stages), len(stations)), np.int64)
    np.add.at(times, (which_stage, which_station), 1)
    for fault, words in ((times == 0, "lacks a surface"), (times > 1, "has more than one surface")):
        if fault.any():
            i, j = np.argwhere(fault)[0]
            raise RangeError(f"stage {stages[i]:g} ft {words} at river station {stations[j]:g} mi")
    table = np.empty(times.shape)
    table[which_stage, which_station] = surface
    _check_falls(stages, stations, table)
    table = np.maximum.accumulate(table, axis=0)  # only rounding is left to level
    return RiverProfile(
        stages_ft=stages, stations_mi=stations, surface_ft=table, datum=datum_named(datum)
    )


def sloped(
    gauge_zero: Elevation,
    gauge_station_mi: float,
    slope_ft_per_mi: float,
    *,
    stages_ft: tuple[float, float],
    stations_mi: tuple[float, float],
) -> RiverProfile:
    """Return the profile of a reach whose surface has one slope at every stage: an estimate.

    Parameters
    ----------
    gauge_zero, gauge_station_mi
        Elevation of stage zero, and where the gauge stands. [mi above the mouth]
    slope_ft_per_mi
        How far the surface rises upstream. [ft/mi]
    stages_ft, stations_mi
        First and last stage [ft] and river station [mi above the mouth] for which this may be said.

    Raises
    ------
    RangeError
        If the slope is below zero, or a first value does not lie below its last one.
    """
    ends = np.array(stations_mi, np.float64)
    stages = np.array(stages_ft, np.float64)
    surface = gauge_zero.value_ft + stages[:, None] + slope_ft_per_mi * (ends - gauge_station_mi)
    return profile_of(np.repeat(stages, 2), np.tile(ends, 2), surface.ravel(), gauge_zero.datum)


def _check_falls(stages: FloatArray, stations: FloatArray, table: FloatArray) -> None:
    """Raise if the water sinks upstream, or while the stage rises, by more than rounding."""
    sinks = np.argwhere(np.diff(table, axis=1) < -BACKWARD_FT)
    if len(sinks):
        i, j = sinks[0]
        raise RangeError(
            f"at stage {stages[i]:g} ft the water at river station {stations[j + 1]:g} mi stands "
            f"lower than at {stations[j]:g} mi: stations are miles above the mouth"
        )
    sinks = np.argwhere(np.diff(table, axis=0) < -BACKWARD_FT)
    if len(sinks):
        i, j = sinks[0]
        raise RangeError(
            f"at river station {stations[j]:g} mi the water stands lower at stage "
            f"{stages[i + 1]:g} ft than at {stages[i]:g} ft"
        )
