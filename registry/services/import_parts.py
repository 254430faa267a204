"""Importing what hangs on sites: systems, components, windows, agreements, conditions, readings."""

from itertools import chain

from registry.imports.opening import opened
from registry.imports.part_rows import KINDS, SYNONYMS, check
from registry.imports.rows import RowReader
from registry.services.import_map import map_of
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.services.import_owner import firm_of
from registry.services.import_part_writers import writer_for
from registry.services.import_row_owners import Owners, owners_of
from registry.store import Session


def import_parts(session: Session, request: ImportRequest, kind_name: str) -> ImportOutcome:
    """Bring a file of one of ``KINDS`` into the registry; rows that cannot be taken are kept.

    Raises
    ------
    FileError, ConfigError
        If the file as a whole or its column map cannot be used; nothing is written then.
    """
    kind, tally = KINDS[kind_name], Tally()
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = map_of(request, kind.name, kind.fields, kind.needed, source, first, tally)
        firm_id = firm_of(session, request.firm, request.author, tally.notes)
        reader = RowReader(
            source.name,
            kind.fields,
            mapped,
            keeps_unknown=frozenset({"kind"}) if kind.name == "systems" else frozenset(),
            synonyms=SYNONYMS if kind.name == "systems" else {},
        )
        writer = writer_for(session, request, kind, mapped, source, firm_id)
        everything = Owners()
        with rejects_of(source, request) as rejects:
            for sheet in chain([first], sheets):
                rows = reader.read(sheet)
                check(kind, mapped, rows)
                writer.prepare(rows)
                owners = owners_of(session, firm_id, kind, mapped, rows)
                everything.faulty_sites |= owners.faulty_sites
                rejects.add_broken(sheet)
                rejects.add(rows, dict.fromkeys(rows.faults, ""))
                tally.count(writer.put(rows, rows.good(), owners))
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            writer.close(tally, everything)
            tally.notes[:0] = source.notes
            tally.warnings += _unknown(reader)
            return finished(session, kind.name, request, tally, rejects)


def _unknown(reader: RowReader) -> list[str]:
    if not reader.unknown_words:
        return []
    shown = ", ".join(f"“{word}” {n:,}" for word, n in reader.unknown_words.most_common(12))
    return [
        f"{reader.unknown_words.total():,} systems are of a kind that is not known and kept as "
        f"“unknown” with their own word: {shown}. Map the words in [values.kind]."
    ]
