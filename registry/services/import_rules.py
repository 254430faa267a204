"""Importing kinds of tasks and readings, and interval rules, from a TOML file."""

from datetime import date

from registry.due.rules_file import read_rules
from registry.errors import FileError
from registry.records.changes import ImportCounts
from registry.services.import_outcome import ImportOutcome, ImportRequest, keep_line
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.rules import put_rules, reading_kinds, rules, task_kinds


def import_rules(session: Session, request: ImportRequest, today: date) -> ImportOutcome:
    """Bring a file's rules and kinds into the registry and compute again what they touch.

    A file is taken whole or not at all: half a set of rules would set wrong dates.

    Raises
    ------
    FileError
        If the file cannot be read.
    ConfigError
        If anything in it is wrong; every complaint names rule, key and remedy.
    """
    try:
        text = request.path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as wrong:
        said = "is not text in UTF-8" if isinstance(wrong, UnicodeDecodeError) else wrong.strerror
        raise FileError(f"{request.path.name} cannot be read: {said}.") from wrong
    file = read_rules(
        text,
        request.path.name,
        {one.code: one for one in task_kinds(session)},
        {one.code: one for one in rules(session)},
        reading_kinds(session),
    )
    done = put_rules(session, file, request.author)
    notes = []
    if done.touched:
        again = recompute_due(session, today, tasks=done.touched)
        notes.append(
            f"Computed again: {', '.join(sorted(done.touched))}; "
            f"{again.written + again.removed:,} obligations changed."
        )
    counts = ImportCounts(
        read=len(file.rules)
        + len(file.tasks)
        + len(file.readings)
        + len(file.reports)
        + len(file.remove),
        added=done.added,
        changed=done.changed,
        unchanged=done.unchanged,
        rejected=0,
        notes=tuple(notes),
    )
    keep_line(session, "rules", request, counts)
    return ImportOutcome(counts=counts)
