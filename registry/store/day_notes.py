"""Notes about a day that runs; a note is taken back, never changed."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.day_notes import DayNote, NoteKind
from registry.store.tables import DayNoteRow


def notes_on(session: Session, firm_id: int, on_date: date) -> list[DayNote]:
    """Return the notes of a date in the order in which they were made."""
    rows = session.scalars(
        select(DayNoteRow)
        .where(DayNoteRow.firm_id == firm_id, DayNoteRow.on_date == on_date)
        .order_by(DayNoteRow.id)
    )
    return [
        DayNote(
            id=row.id,
            on_date=row.on_date,
            kind=NoteKind(row.kind),
            at_min=row.at_min,
            technician_id=row.technician_id,
            site_id=row.site_id,
            minutes=row.minutes,
            from_min=row.from_min,
            to_min=row.to_min,
            text=row.text,
            noted_by=row.noted_by,
            noted_at=row.noted_at,
        )
        for row in rows
    ]


def add_note(session: Session, firm_id: int, note: DayNote, now: datetime) -> int:
    """Keep a note and return its id."""
    row = DayNoteRow(
        firm_id=firm_id,
        on_date=note.on_date,
        kind=note.kind.value,
        technician_id=note.technician_id,
        site_id=note.site_id,
        at_min=note.at_min,
        from_min=note.from_min,
        to_min=note.to_min,
        minutes=note.minutes,
        text=note.text,
        noted_by=note.noted_by,
        noted_at=now,
    )
    session.add(row)
    session.flush()
    return row.id


def take_back(session: Session, firm_id: int, on_date: date, note_id: int) -> DayNote | None:
    """Forget a note of a date and return it, None if there is none."""
    found = next((one for one in notes_on(session, firm_id, on_date) if one.id == note_id), None)
    row = session.get(DayNoteRow, note_id)
    if found is None or row is None:
        return None
    session.delete(row)
    session.flush()
    return found
