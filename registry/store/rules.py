"""Rules and kinds of tasks and readings: those of the program, overlaid by the store's own."""

from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.due.rules_file import RuleFile, read_rules
from registry.records.reading_kinds import ReadingKind
from registry.records.reports import ReportRule
from registry.records.work import IntervalRule, TaskKind
from registry.store.bodies import from_body, to_body
from registry.store.history import Author, as_said, note_changes
from registry.store.tables import IntervalRuleRow, ReadingKindRow, ReportRuleRow, TaskKindRow

REMOVED: dict[str, Any] = {"removed": True}
"""The body of a rule that was taken away, so that the shipped one of its code stays away too."""


type Kept = IntervalRule | TaskKind | ReadingKind | ReportRule
"""What a rules file holds."""

WORDS = {
    IntervalRule: "rule",
    TaskKind: "task",
    ReadingKind: "reading",
    ReportRule: "report rule",
}
"""What each is called in the history."""


@dataclass(slots=True)
class RulesDone:
    """What putting rules into the store did; ``touched`` are the tasks whose dates may change."""

    added: int = 0
    changed: int = 0
    unchanged: int = 0
    touched: frozenset[str] = frozenset()


@cache
def shipped() -> RuleFile:
    """Return the rules and task kinds that come with the program."""
    text = files("registry.due").joinpath("defaults.toml").read_text("utf-8")
    return read_rules(text, "defaults.toml")


def rules(session: Session) -> list[IntervalRule]:
    """Return the rules in force, by code: the store's own win over those of the program."""
    found = dict(shipped().rules)
    for code, body in session.execute(select(IntervalRuleRow.code, IntervalRuleRow.body)):
        if body == REMOVED:
            found.pop(code, None)
        else:
            found[code] = from_body(IntervalRule, body)
    return [found[code] for code in sorted(found)]


def task_kinds(session: Session) -> list[TaskKind]:
    """Return all task kinds, by code: the store's own win over those of the program."""
    found = dict(shipped().tasks)
    for body in session.scalars(select(TaskKindRow.body)):
        task = from_body(TaskKind, body)
        found[task.code] = task
    return [found[code] for code in sorted(found)]


def reading_kinds(session: Session) -> dict[str, ReadingKind]:
    """Return all kinds of readings by code: the store's own win over those of the program."""
    found = dict(shipped().readings)
    for body in session.scalars(select(ReadingKindRow.body)):
        kind = from_body(ReadingKind, body)
        found[kind.code] = kind
    return found


def report_rules(session: Session) -> list[ReportRule]:
    """Return the rules on reports, by code: the store's own win over those of the program."""
    found = dict(shipped().reports)
    for code, body in session.execute(select(ReportRuleRow.code, ReportRuleRow.body)):
        if body == REMOVED:
            found.pop(code, None)
        else:
            found[code] = from_body(ReportRule, body)
    return [found[code] for code in sorted(found)]


def put_rules(session: Session, file: RuleFile, by: Author) -> RulesDone:
    """Put a file's rules and kinds into the store, with their history; return what was done.

    A rule to remove leaves a mark, so that a rule of the same code that comes with the program does
    not stand up again. A code that is not there counts as unchanged.
    """
    done = RulesDone()
    touched: set[str] = set()
    before = {one.code: one for one in rules(session)}
    for code, rule in file.rules.items():
        if _put(session, before.get(code), rule, by, done):
            session.merge(
                IntervalRuleRow(
                    code=code, task=rule.task, rule_set=rule.jurisdiction, body=to_body(rule)
                )
            )
            touched |= {rule.task, before.get(code, rule).task}
    before_reports = {one.code: one for one in report_rules(session)}
    for code, report in file.reports.items():
        if _put(session, before_reports.get(code), report, by, done):
            session.merge(ReportRuleRow(code=code, body=to_body(report)))
    for code in file.remove:
        old = before.get(code) or before_reports.get(code)
        if old is None or code in file.rules or code in file.reports:
            done.unchanged += 1
            continue
        touched |= _remove(session, old, by)
        done.changed += 1
    touched |= _put_kinds(session, file, by, done)
    session.flush()
    done.touched = frozenset(touched)
    return done


def _remove(session: Session, old: IntervalRule | ReportRule, by: Author) -> set[str]:
    """Take a rule away and return the tasks whose dates may change."""
    word = WORDS[type(old)]
    note_changes(session, [by.change(word, old.code, word, as_said(old.citation), "removed")])
    if isinstance(old, ReportRule):
        session.merge(ReportRuleRow(code=old.code, body=REMOVED))
        return set()
    session.merge(IntervalRuleRow(code=old.code, task=old.task, rule_set="", body=REMOVED))
    return {old.task}


def _put_kinds(session: Session, file: RuleFile, by: Author, done: RulesDone) -> set[str]:
    """Put kinds of tasks and readings and return the tasks whose dates may change."""
    touched = set()
    tasks = {one.code: one for one in task_kinds(session)}
    for code, task in file.tasks.items():
        if _put(session, tasks.get(code), task, by, done):
            session.merge(TaskKindRow(code=code, name=task.name, body=to_body(task)))
            if code not in tasks or tasks[code].clock != task.clock:
                touched.add(code)
    readings = reading_kinds(session)
    for code, kind in file.readings.items():
        if _put(session, readings.get(code), kind, by, done):
            session.merge(ReadingKindRow(code=code, body=to_body(kind)))
    return touched


def _put(
    session: Session,
    old: Kept | None,
    new: Kept,
    by: Author,
    done: RulesDone,
) -> bool:
    """Count one of them and note its changes; return whether there is anything to write."""
    kind = WORDS[type(new)]
    if old is None:
        done.added += 1
        note_changes(session, [by.change(kind, new.code, kind, "", "added")])
        return True
    changed = _changed_fields(old, new)
    note_changes(
        session,
        [
            by.change(
                kind, new.code, name, as_said(getattr(old, name)), as_said(getattr(new, name))
            )
            for name in changed
        ],
    )
    done.changed += 1 if changed else 0
    done.unchanged += 0 if changed else 1
    return bool(changed)


def _changed_fields(old: Kept, new: Kept) -> list[str]:
    names = [one.name for one in fields(new)]
    return [name for name in names if getattr(old, name) != getattr(new, name)]
