"""What keeps technicians from making a visit at all, whatever else they do that day."""

from collections.abc import Sequence

from registry.plan.problem import WATER_SLACK_GAL, DayProblem
from registry.plan.say import listed
from registry.plan.words import WhyWord

type Reason = tuple[WhyWord, str]


def lack(problem: DayProblem, technician: int, visit: int) -> Reason | None:
    """Return what one technician lacks for a visit, as words that follow the name; None = nothing.

    It is None exactly where ``DayProblem.may_make`` holds.
    """
    who, what = problem.technicians[technician], problem.visits[visit]
    found: Reason | None = None
    if what.held_by not in (None, technician):
        found = (
            WhyWord.HELD,
            f"may not: it is held to {problem.technicians[what.held_by or 0].name}",
        )
    elif technician in what.ruled_out:
        found = WhyWord.RULED_OUT, "is ruled out for it"
    elif lacking := sorted(what.skills - who.skills):
        ended = [f"{word} ended on {last.isoformat()}" for word, last in who.lapsed
                 if last and word in lacking]  # fmt: skip
        licence = any("licence" in word for word in lacking)
        word = WhyWord.LICENCE if licence else WhyWord.SKILL
        found = word, f"lacks {listed(lacking)}" + (f" ({'; '.join(ended)})" if ended else "")
    elif what.people > who.people:
        found = WhyWord.NEEDS_TWO, "comes alone where two are needed"
    elif who.tank_gal is not None and what.water_gal > who.tank_gal + WATER_SLACK_GAL:
        found = WhyWord.WATER, "has too small a tank for the water it takes"
    elif who.room_gal is not None and what.septage_gal > who.room_gal + WATER_SLACK_GAL:
        found = WhyWord.SEPTAGE, "has too little room for the septage"
    elif who.capacity is not None and what.demand > who.capacity:
        found = WhyWord.NO_ROOM, "has no room for the load"
    return found


def nobody_able(problem: DayProblem, visit: int) -> Reason:
    """Say why nobody on duty may make a visit."""
    what = problem.visits[visit]
    lacks = {k: lack(problem, k, visit) for k in range(len(problem.technicians))}
    found = [(k, one) for k, one in lacks.items() if one is not None]
    if what.held_by is not None:
        held = next(said for k, (_, said) in found if k == what.held_by)
        return WhyWord.HELD, f"Held to {problem.technicians[what.held_by].name}, who {held}."
    if not any(what.skills <= who.skills for who in problem.technicians):
        return _unskilled(problem, visit)
    unskilled = (WhyWord.LICENCE, WhyWord.SKILL)
    near = [(k, one) for k, one in found if one[0] not in unskilled]
    words = {word for _, (word, _) in near}
    if len(words) == 1 and (text := _all_lack(problem, visit, [k for k, _ in near], *words)):
        return near[0][1][0], text
    each = "; ".join(f"{problem.technicians[k].name} {said}" for k, (_, said) in near)
    return near[0][1][0], f"Nobody on duty may make it: {each}."


def _all_lack(problem: DayProblem, visit: int, near: Sequence[int], word: WhyWord) -> str:
    """Say what all who have the skills lack alike; empty where each is better named."""
    what, able = problem.visits[visit], [problem.technicians[k] for k in near]
    water_gal = max((who.tank_gal or 0.0 for who in able), default=0.0)
    room_gal = max((who.room_gal or 0.0 for who in able), default=0.0)
    return {
        WhyWord.WATER: f"Needs {what.water_gal:.0f} gal of water brought along; the largest tank of"
        f" those who could go holds {water_gal:.0f} gal.",
        WhyWord.SEPTAGE: f"About {what.septage_gal:.0f} gal are pumped; the largest tank of those"
        f" who could go takes {room_gal:.0f} gal.",
        WhyWord.NEEDS_TWO: f"Needs {what.people} people there at once; those who could go come"
        " alone.",
    }.get(word, "")


def _unskilled(problem: DayProblem, visit: int) -> Reason:
    """Say which skills nobody on duty has together, and whose licence has ended."""
    what = problem.visits[visit]
    lapsed = [
        f"{who.name}’s {word} ended on {ended.isoformat()}"
        if ended
        else f"{who.name}’s {word} is not valid yet"
        for who in problem.technicians
        for word, ended in who.lapsed
        if word in what.skills
    ]
    that = {1: "that", 2: "both"}.get(len(what.skills), "all of that")
    text = f"Needs {listed(sorted(what.skills))}: nobody on duty has {that}"
    text += f" ({'; '.join(lapsed)})." if lapsed else "."
    licence = any("licence" in word for word in what.skills)
    return (WhyWord.LICENCE if licence else WhyWord.SKILL), text
