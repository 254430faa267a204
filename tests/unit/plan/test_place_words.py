"""What a road engine says of places, told with the names that people know them by."""

from registry.plan.place_words import called
from registry.records.places import LonLat
from registry.roads.snapping import name_of

HERE, THERE = LonLat(-140.0, 45.0), LonLat(-139.9, 45.1)


def test_places_have_the_names_of_what_stands_there() -> None:
    said = [f"{name_of(i, place)} lies 412 m from the nearest road." for i, place in
            enumerate((HERE, THERE))]  # fmt: skip
    names = {HERE: ["the yard"], THERE: ["W-1", "W-2"]}
    assert called(said, [HERE, THERE], names) == (
        "The yard lies 412 m from the nearest road.",
        "W-1, W-2 lies 412 m from the nearest road.",
    )


def test_a_place_without_a_name_keeps_its_number() -> None:
    said = [f"{name_of(1, THERE)} stands apart."]
    assert called(said, [HERE, THERE], {}) == ("Place 2 (-139.90000, 45.10000) stands apart.",)
    assert called(said, [HERE], {HERE: ["the yard"]})[0].startswith("Place 2")
