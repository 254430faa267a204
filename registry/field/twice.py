"""One visit that was recorded twice: what both records say, and one record of what was chosen."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from registry.field.as_record import as_record
from registry.field.part_states import VALVE
from registry.records.gate_visit import Ending, GateVisit

type Row = Mapping[str, Any]

LISTS: dict[str, tuple[str, ...]] = {
    "outcomes": ("system_id", "task"),
    "readings": ("kind", "system_id", "component_id"),
    "states": ("what", "component_id"),
    "answers": ("item",),
}
"""Lists of a record, and what tells their rows apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidTwice:
    """One thing that several records of a visit say.

    ``of`` is the list of the record that it stands in, ``row`` the row of the first record that
    says it, ``values`` what each record says, in words; "" = nothing.
    """

    key: str
    of: str
    row: Row
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether two records say different things."""
        return len({one for one in self.values if one}) > 1


def said_twice(versions: Sequence[GateVisit]) -> tuple[SaidTwice, ...]:
    """Return what at least two records of a visit say, in the order in which a record stands."""
    rows = [dict(_rows(as_record(one))) for one in versions]
    keys = dict.fromkeys(key for one in rows for key in one)
    found = []
    for key in keys:
        there = [one[key] for one in rows if key in one]
        if len(there) > 1:
            of = key.partition(":")[0]
            values = tuple(_words(of, one[key]) if key in one else "" for one in rows)
            found.append(SaidTwice(key=key, of=of, row=there[0], values=values))
    return tuple(found)


def is_one_visit(versions: Sequence[GateVisit], by: Sequence[str]) -> bool:
    """Tell whether records of one site and date are the same visit, recorded by different people.

    They are where both did the same task, or say different things of the same part. Two visits of
    one person on one day are two visits; so are a pump-out and an inspection.

    Parameters
    ----------
    versions
        Records of one site and date of which none corrects another.
    by
        Who recorded each.
    """
    if len({(one.technician_id, name) for one, name in zip(versions, by, strict=True)}) < 2:
        return False
    done = Ending.DONE.value
    return any(
        one.differs or (one.of == "outcomes" and one.values.count(done) > 1)
        for one in said_twice(versions)
    )


def settled(
    versions: Sequence[GateVisit],
    chosen: Mapping[str, int],
    visit_id: str,
    new_id: Callable[[], str],
) -> dict[str, Any]:
    """Return one record of a visit out of several: what was chosen, and all that one alone says.

    What only one record says is taken; findings are taken from each.

    Parameters
    ----------
    versions
        The records, the first one is superseded by the result.
    chosen
        Which record holds, by the key of what differs; others are those of the first that says it.
    visit_id
        The id of the new record.
    new_id
        Makes a UUID for a finding.
    """
    records = [as_record(one) for one in versions]
    rows = [dict(_rows(one)) for one in records]
    taken: dict[str, list[Row]] = {name: [] for name in LISTS}
    for key in dict.fromkeys(key for one in rows for key in one):
        holds = rows[chosen[key]] if key in chosen and key in rows[chosen[key]] else None
        first = holds or next(one for one in rows if key in one)
        taken[key.partition(":")[0]].append(first[key])
    reached = any(one["ending"] == Ending.DONE.value for one in records)
    notes = dict.fromkeys(one["note"] for one in records if one["note"])
    return (
        records[0]
        | taken
        | {
            "id": visit_id,
            "ending": Ending.DONE.value if reached else records[0]["ending"],
            "hazards_seen": any(one["hazards_seen"] for one in records),
            "note": " ".join(notes),
            "findings": [row | {"id": new_id()} for one in records for row in one["findings"]],
            "supersedes": versions[0].id,
        }
    )


def _rows(record: Mapping[str, Any]) -> Iterator[tuple[str, Row]]:
    for name, parts in LISTS.items():
        for row in record[name]:
            yield ":".join((name, *(str(row[part] or "") for part in parts))), row


def _words(of: str, row: Row) -> str:
    """Return what a row says; never empty."""
    if of == "readings":
        said = (row["value"] or "none", row["answer"], row["note"])
    elif of == "states":
        turns = " turns" if row["what"] == VALVE else ""
        found, left = (f"{row[half] or 'not said'}{turns}" for half in ("as_found", "as_left"))
        said = (f"found {found}, left {left}", row["reason"], "")
    elif of == "outcomes":
        said = (row["outcome"], row["note"], "")
    else:
        said = (row["said"], row["reason"], "")
    return "; ".join(str(part) for part in said if part)
