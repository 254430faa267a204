"""What retention takes away, by kind: rows that are older than a moment, counted or blanked."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, and_, delete, func, or_, select, update
from sqlalchemy.orm import InstrumentedAttribute, Session

from registry.store.append_only import APPEND_ONLY, erase
from registry.store.tables import (
    AccessTokenRow,
    Base,
    CallMadeRow,
    ChangeRow,
    DayNoteRow,
    DayOffRow,
    LetterRow,
    PhoneRow,
    PrivateReadRow,
)

GONE = "[gone by retention]"
"""What stands in a field whose text is gone."""
PRIVATE = ("owner_name", "owner_phone", "owner_email", "owner_address", "gate_code", "private_note")
"""Fields whose former values go from the history of changes."""


@dataclass(frozen=True, slots=True)
class Old:
    """Rows of one kind: the moment that ages them, and which columns go; none = the whole row."""

    row: type[Base]
    at: (
        InstrumentedAttribute[datetime]
        | InstrumentedAttribute[datetime | None]
        | InstrumentedAttribute[date]
    )
    blanked: tuple[str, ...] = ()
    only: ColumnElement[bool] | None = None

    def condition(self, before: datetime) -> ColumnElement[bool]:
        """Tell which rows go."""
        found = [self.at < before]
        if self.only is not None:
            found.append(self.only)
        if self.blanked:
            texts = [getattr(self.row, one) for one in self.blanked]
            found.append(or_(*(and_(one != "", one != GONE) for one in texts)))
        return and_(*found)


CALL = "alarm call"
"""The kind of note about a caller, not about where a technician was."""
KINDS = {
    "reads": Old(PrivateReadRow, PrivateReadRow.at),
    "letters": Old(LetterRow, LetterRow.noted_at, ("to_name", "to_address", "body")),
    "history": Old(ChangeRow, ChangeRow.at, ("before", "after"), ChangeRow.field.in_(PRIVATE)),
    "calls": Old(CallMadeRow, CallMadeRow.called_at, ("agreed",)),
    "day_notes": Old(DayNoteRow, DayNoteRow.noted_at, ("text",)),
    "whereabouts": Old(DayNoteRow, DayNoteRow.noted_at, (), DayNoteRow.kind != CALL),
    "days_off": Old(DayOffRow, DayOffRow.on_date),
    "phones": Old(PhoneRow, PhoneRow.signed_out_at, (), PhoneRow.wiped_at.is_not(None)),
    "tokens": Old(AccessTokenRow, AccessTokenRow.revoked_at),
}
"""Kind → the rows that grow too old."""


def count_old(session: Session, kind: str, before: datetime) -> int:
    """Return how many rows of a kind would go."""
    one = KINDS[kind]
    asked = select(func.count()).select_from(one.row).where(one.condition(before))
    return session.scalar(asked) or 0


def take_old(session: Session, kind: str, before: datetime) -> int:
    """Let the rows of a kind go; return how many."""
    one = KINDS[kind]
    going = one.condition(before)
    statement = (
        update(one.row).where(going).values(dict.fromkeys(one.blanked, GONE))
        if one.blanked
        else delete(one.row).where(going)
    )
    if one.row.__tablename__ in APPEND_ONLY:
        return erase(session, statement)
    number = count_old(session, kind, before)
    session.execute(statement)
    return number
