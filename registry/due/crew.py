"""Who of a firm's technicians may do which tasks on a date."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from registry.records.crew import Licence, Technician
from registry.records.work import TaskKind


@dataclass(frozen=True)
class Crew:
    """The technicians of a firm on a date; answers are remembered, since many sites ask alike."""

    technicians: Sequence[Technician]
    tasks: Mapping[str, TaskKind]
    on_date: date
    _known: dict[tuple[frozenset[str], str], bool] = field(default_factory=dict, repr=False)

    def may(self, tasks: frozenset[str], jurisdiction: str) -> bool:
        """Tell whether one person holds the skills and valid licences for all of some tasks."""
        asked = (tasks, jurisdiction)
        if asked not in self._known:
            kinds = [self.tasks[code] for code in tasks]
            self._known[asked] = any(
                all(self._may_do(who, kind, jurisdiction) for kind in kinds)
                for who in self.technicians
            )
        return self._known[asked]

    def _may_do(self, who: Technician, kind: TaskKind, jurisdiction: str) -> bool:
        return set(kind.skills) <= set(who.skills) and (
            not kind.licence
            or any(self._counts(one, kind.licence, jurisdiction) for one in who.licences)
        )

    def _counts(self, licence: Licence, kind: str, jurisdiction: str) -> bool:
        return (
            licence.kind == kind
            and licence.jurisdiction in ("", jurisdiction)
            and (licence.valid_from is None or licence.valid_from <= self.on_date)
            and (licence.valid_to is None or self.on_date <= licence.valid_to)
        )
