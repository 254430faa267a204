"""The water ladder: things stand at their stage, water reaches as high as it is told to."""

import re
from xml.etree import ElementTree as ET

from web.draw.water_ladder import Ladder, RoadMark, Step, water_ladder

LADDER = Ladder(
    stage_ft=14.0,
    lowest_ft=10.0,
    highest_ft=20.0,
    steps=[Step(12.0, 3), Step(16.5, 9)],
    roads=[RoadMark("Invented Lane", 13.0), RoadMark("Upper Lane", 18.0)],
    peak_ft=19.1,
)


def drawn(ladder: Ladder = LADDER) -> ET.Element:
    return ET.fromstring(water_ladder(ladder))  # noqa: S314 - our own text


def rungs(ladder: Ladder = LADDER) -> dict[int, float]:
    """The height of each rung's words by its foot."""
    return {
        int(found[1]): float(one.get("y", ""))
        for one in drawn(ladder).iterfind(".//{*}text")
        if (found := re.fullmatch(r"(\d+) ft", one.text or ""))
    }


def test_every_foot_has_a_rung_and_higher_stages_stand_higher() -> None:
    heights = rungs()
    assert list(heights) == list(range(10, 21))
    assert list(heights.values()) == sorted(heights.values(), reverse=True)


def test_the_water_reaches_from_the_foot_of_the_ladder_to_its_stage() -> None:
    water = next(one for one in drawn().iterfind(".//{*}rect") if one.get("opacity"))
    foot = {k: y + 3 for k, y in rungs().items()}
    assert float(water.get("y", "")) == foot[14]
    assert float(water.get("y", "")) + float(water.get("height", "")) == foot[10]


def test_roads_under_water_are_called_closed_and_others_not() -> None:
    said = [one.text for one in drawn().iterfind(".//{*}text")]
    assert "Invented Lane, closed" in said
    assert "Upper Lane" in said
    assert "highest of the forecast, 19.1 ft" in said


def test_the_picture_says_in_words_what_it_shows() -> None:
    told = next(drawn().iterfind(".//{*}desc")).text or ""
    assert told == ("Water at 14 ft. About 3 components under water. Roads closed: Invented Lane.")


def test_names_of_roads_at_one_height_do_not_lie_on_each_other() -> None:
    roads = [RoadMark(f"Lane {n}", 13.0) for n in range(4)]
    found = [
        float(one.get("y", ""))
        for one in drawn(LADDER._replace(roads=roads)).iterfind(".//{*}text")
        if (one.text or "").startswith("Lane")
    ]
    assert len(found) == 4
    assert all(abs(a - b) >= 14 for a in found for b in found if a != b)
    assert len(set(found)) == 4


def test_names_are_escaped_and_things_outside_the_ladder_left_out() -> None:
    roads = [RoadMark("<script>", 13.0), RoadMark("Far below", 2.0)]
    ladder = LADDER._replace(roads=roads)
    assert "<script>" not in water_ladder(ladder)
    said = [one.text for one in drawn(ladder).iterfind(".//{*}text")]
    assert "<script>, closed" in said
    assert not any("Far below" in (text or "") for text in said)
