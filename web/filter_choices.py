"""What the filters of the county map offer: value in the address, words, whether it is chosen."""

from collections.abc import Iterable

from registry.records.filter_text import NOT_ON_FILE
from registry.records.systems import SystemKind
from registry.services.overdue_map import OverdueView

LATE = (
    ("", "any number of days"),
    ("30", "more than 30 days"),
    ("90", "more than 90 days"),
    ("365", "more than a year"),
    ("all", "overdue or not"),
)

type Option = tuple[str, str, bool]
type Choice = tuple[str, str, list[Option]]


def filter_choices(view: OverdueView, asked: dict[str, str]) -> list[Choice]:
    """Return name, label and options of each filter, in the order of the page.

    A value of one's own in the address, such as 45 days, stands among the options.
    """
    own = asked.get("late", "")
    late = [*LATE] if own in dict(LATE) else [*LATE, (own, f"more than {own} days")]
    choices = view.choices
    offered: list[tuple[str, str, Iterable[tuple[str, str]]]] = [
        ("late", "Overdue by", late),
        (
            "task",
            "Task",
            [("", "whatever is due first"), *sorted(view.tasks.items(), key=_by_words)],
        ),
        ("kind", "System type", [("", "all"), *_same(SystemKind)]),
        (
            "zone",
            "Flood zone",
            [
                ("", "any"),
                ("in", "in a special flood hazard area"),
                ("out", "outside of it"),
                *((one, f"zone {one}") for one in choices.flood_zones),
            ],
        ),
        ("below", "Below base flood elevation", [("", "any"), ("yes", "yes"), ("no", "no")]),
        (
            "place",
            "Jurisdiction",
            [("", "all"), *((str(id_), name) for id_, name in view.jurisdictions.items())],
        ),
        ("town", "Town", [("", "all"), *_same(choices.towns)]),
        (
            "permit",
            "Permit status on file",
            [("", "any"), *_same(choices.permit_statuses), (NOT_ON_FILE, "not on file")],
        ),
        (
            "agreement",
            "Service agreement",
            [("", "any"), ("in-force", "in force"), ("lapsed", "lapsed"), ("none", "none on file")],
        ),
        ("serious", "Serious finding", [("", "open or not"), ("open", "open")]),
    ]
    return [
        (name, label, [(value, said, value == asked.get(name, "")) for value, said in options])
        for name, label, options in offered
    ]


def _same(words: Iterable[str]) -> list[tuple[str, str]]:
    return [(str(one), str(one)) for one in words]


def _by_words(option: tuple[str, str]) -> str:
    return option[1]
