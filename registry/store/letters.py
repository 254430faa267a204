"""Letters to owners: added to, never changed."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from registry.records.letters import Letter
from registry.store.among import among
from registry.store.merges import records_of
from registry.store.tables import LetterRow, SiteRow


def add_letters(
    session: Session,
    letters: Iterable[Letter],
    *,
    batch: str,
    sender: str,
    written_by: str,
    now: datetime,
) -> None:
    """Add the letters of a batch."""
    rows = [
        {
            "batch": batch,
            "site_id": one.site_id,
            "sender": sender,
            "sender_name": one.sender_name,
            "written_on": one.written_on,
            "to_name": one.to_name,
            "to_address": one.to_address,
            "body": one.body,
            "written_by": written_by,
            "noted_at": now,
        }
        for one in letters
    ]
    if rows:
        session.execute(insert(LetterRow), rows)


def letters_of_batch(session: Session, batch: str, sender: str) -> list[Letter]:
    """Return the letters of a batch by its sender, by site number."""
    asked = (
        select(LetterRow, SiteRow.key)
        .join(SiteRow, SiteRow.id == LetterRow.site_id)
        .where(LetterRow.batch == batch, LetterRow.sender == sender)
        .order_by(SiteRow.key)
    )
    return [
        Letter(
            site_id=row.site_id,
            site=key,
            written_on=row.written_on,
            sender_name=row.sender_name,
            to_name=row.to_name,
            to_address=row.to_address,
            body=row.body,
        )
        for row, key in session.execute(asked)
    ]


def letters_to_site(session: Session, site_id: int) -> list[Letter]:
    """Return when letters were written to the owner of a site and by whom, the newest first."""
    row = LetterRow
    asked = (
        select(row.site_id, SiteRow.key, row.written_on, row.sender_name)
        .join(SiteRow, SiteRow.id == row.site_id)
        .where(among(session, row.site_id, records_of(session, [site_id])))
        .order_by(row.written_on.desc(), row.id.desc())
    )
    return [
        Letter(site_id=number, site=key, written_on=on_date, sender_name=name)
        for number, key, on_date, name in session.execute(asked)
    ]
