"""A filter said in words, above a list, on paper and in an answer of the command line."""

from collections.abc import Mapping

from registry.records.due_rows import NO_STATUS, DueFilter


def filter_words(
    which: DueFilter, jurisdictions: Mapping[int, str], tasks: Mapping[str, str]
) -> str:
    """Return one sentence about which systems are shown.

    Parameters
    ----------
    which
        The filter.
    jurisdictions, tasks
        Names by id and by code.
    """
    said = [_late(which.late_days)]
    if which.task:
        said.append(f"by the task {tasks.get(which.task, which.task)}, whatever is due first")
    said += [f"of type {' or '.join(which.kinds)}"] if which.kinds else []
    if which.in_hazard_area is not None:
        said.append(f"{'in' if which.in_hazard_area else 'outside'} a special flood hazard area")
    said += [f"in flood zone {which.flood_zone}"] if which.flood_zone else []
    if which.below_bfe is not None:
        said.append(
            f"with {'' if which.below_bfe else 'no '}equipment below the base flood elevation"
        )
    if which.jurisdiction_id is not None:
        said.append(f"in {jurisdictions.get(which.jurisdiction_id, 'a jurisdiction not yours')}")
    said += [f"in the town {which.town}"] if which.town else []
    if which.permit_status is not None:
        status = which.permit_status
        said.append("no permit status on file" if status == NO_STATUS else f"permit “{status}”")
    said += [f"service agreement {which.agreement}"] if which.agreement else []
    said += ["with a serious finding that is not mended"] if which.serious_open else []
    return f"Shown are systems {'; '.join(said)}."


def _late(late_days: int | None) -> str:
    if late_days is None:
        return "overdue or not (the list and the files hold those overdue)"
    if late_days == 0:
        return "overdue by any number of days"
    return f"more than {late_days:,} day{'s' if late_days != 1 else ''} overdue"
