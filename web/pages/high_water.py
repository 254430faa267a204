"""High water: a stage goes in, out come components under water and roads that close."""

from flask import Blueprint, render_template, request

from registry.errors import NotFoundError, RangeError
from registry.records.high_water import HighWater, RoadState
from registry.services.high_water import high_water
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading
from web.draw.water_ladder import Ladder, RoadMark, Step, water_ladder

pages = Blueprint("high_water", __name__, url_prefix="/high-water/")

ROAD_WORDS = {
    RoadState.CLOSED: "closed",
    RoadState.MAY_CLOSE: "may close",
    RoadState.OPEN: "above water",
    RoadState.UNKNOWN: "not known",
}


@pages.get("/")
@needs("see high water")
def show() -> str:
    """Show what a stage puts under water."""
    stage_ft = _stage(request.args.get("stage", ""))
    gauge = request.args.get("gauge", "")
    with reading() as session:
        zone = zone_of(session, viewer())
        try:
            found = high_water(session, viewer(), gauge, stage_ft, parts().now())
        except NotFoundError:
            if gauge:
                raise
            return render_template("high_water.html", found=None)
    return render_template(
        "high_water.html",
        found=found,
        ladder=_ladder(found),
        sites=_by_site(found),
        road_words=ROAD_WORDS,
        zone=zone,
        present=present,
    )


def _stage(text: str) -> float | None:
    if not text:
        return None
    try:
        stage_ft = float(text)
    except ValueError:
        stage_ft = float("nan")
    if not abs(stage_ft) < 1000:
        raise RangeError(f"“{text[:40]}” is no stage. Give feet, such as 18.5.")
    return stage_ft


def _ladder(found: HighWater) -> str:
    if found.lowest_ft is None or found.highest_ft is None:
        return ""
    ahead = [one.stage_ft for one in found.stages if one.is_forecast]
    shown = [step for step, _ in found.by_half_foot]
    top = max([found.stage_ft + 2, *ahead, *(shown[-1:])])
    return water_ladder(
        Ladder(
            stage_ft=found.stage_ft,
            lowest_ft=found.lowest_ft,
            highest_ft=min(found.highest_ft, top + 1),
            steps=[Step(*one) for one in found.by_half_foot],
            roads=[
                RoadMark(one.name, one.stage_ft) for one in found.roads if one.stage_ft is not None
            ],
            peak_ft=max(ahead, default=None),
        )
    )


def _by_site(found: HighWater) -> list[tuple[int, str, list[str]]]:
    """Return each site with what of it is under water, the one that goes under first on top."""
    sites: dict[int, tuple[int, str, list[str]]] = {}
    for one in found.parts:
        _, _, parts = sites.setdefault(one.site_id, (one.site_id, one.site, []))
        parts.append(f"{one.part} from {present.feet(one.stage_ft)}")
    return list(sites.values())
