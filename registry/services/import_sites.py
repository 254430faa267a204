"""Importing sites with their systems from a file, with nothing lost."""

from itertools import chain
from pathlib import Path

from registry.errors import FileError
from registry.imports.ahead import ahead
from registry.imports.column_map import ColumnMap, read_map, require_columns, written
from registry.imports.fields import SITES
from registry.imports.guess import Guess, guess
from registry.imports.opening import opened
from registry.imports.positions import Positions
from registry.imports.sheet import Sheet, Source
from registry.imports.site_rows import SiteReader, SiteRows
from registry.services.import_outcome import (
    ImportOutcome,
    ImportRequest,
    Tally,
    finished,
    rejects_of,
)
from registry.services.import_owner import Jurisdictions, firm_of
from registry.services.match_load import MatchLoad
from registry.store import Session
from registry.store.site_load import SiteLoad


def import_sites(session: Session, request: ImportRequest) -> ImportOutcome:
    """Bring the sites of a file into the registry: all good rows, in the session's transaction.

    A row is taken whole or not at all. Rows that are not taken go into a rejects file in the
    input's own format, each with its reasons.

    Raises
    ------
    FileError
        If the file as a whole cannot be used; nothing is written then.
    ConfigError
        If the column map does not fit.
    """
    tally = Tally()
    with opened(request.path, request.reading) as source:
        sheets = source.sheets()
        first = next(sheets)
        mapped = _map(request, source, first, tally)
        firm_id = firm_of(session, request.firm, request.author, tally.notes)
        owners = Jurisdictions(session, request.author, tally.notes, request.jurisdiction)
        if "jurisdiction" not in {*mapped.columns, *mapped.constants}:
            owners.require_default()
        positions = Positions(
            file_name=source.name,
            crs=request.crs or mapped.crs or source.crs,
            box=owners.default_box,
            boxes=owners.boxes,
        )
        if request.crs and source.crs and request.crs != source.crs:
            tally.notes.append(
                f"The file says that it is in {source.crs[:40]}; {request.crs} is used as you say."
            )
        reader = SiteReader(source.name, mapped, positions, bool(owners.default))
        load = SiteLoad(
            session=session,
            firm_id=firm_id,
            by=request.author,
            blank_clears=request.blank_clears,
        )
        matching = _matching(load, request)
        with rejects_of(source, request) as rejects:
            for taken in ahead(map(reader.read, chain([first], sheets))):
                sheet = taken.rows.sheet
                rejects.add_broken(sheet)
                rejects.add(taken.rows, taken.rejected)
                _put(matching or load, owners, taken, tally, request)
                tally.read += len(sheet) + len(sheet.broken)
                request.progress(tally.read, source.rows)
            owners.note_new()
            tally.notes[:0] = [*source.notes, *positions.notes, *reader.notes()]
            tally.warnings += reader.warnings()
            if matching is not None:
                tally.warnings += matching.warnings()
            if load.merged:
                tally.warnings.append(
                    f"{len(load.merged):,} records were merged into others and are left as they "
                    f"are: {', '.join(sorted(load.merged)[:5])}. Import the one that holds."
                )
            tally.touched = load.touched
            return finished(session, "sites", request, tally, rejects)


def _matching(load: SiteLoad, request: ImportRequest) -> MatchLoad | None:
    """Return what compares the rows with the sites that are kept, if they are another source's."""
    if not request.source:
        return None
    return MatchLoad(
        session=load.session,
        firm_id=load.firm_id,
        source=request.source,
        by=request.author,
        load=load,
    )


def _put(
    load: SiteLoad | MatchLoad,
    owners: Jurisdictions,
    taken: SiteRows,
    tally: Tally,
    request: ImportRequest,
) -> None:
    if taken.keys:
        _put_sites(load, owners, taken, tally, request)
    if taken.further_keys:
        tally.count(load.put_further(taken.further_keys, taken.further_systems))


def _put_sites(
    load: SiteLoad | MatchLoad,
    owners: Jurisdictions,
    taken: SiteRows,
    tally: Tally,
    request: ImportRequest,
) -> None:
    site = dict(taken.site)
    if taken.jurisdictions is not None:
        site["jurisdiction_id"] = [owners.id_of(name) for name in taken.jurisdictions]
    elif request.jurisdiction:
        site["jurisdiction_id"] = [owners.id_of("")] * len(taken.keys)
    new = {} if "jurisdiction_id" in site else {"jurisdiction_id": owners.id_of("")}
    tally.count(load.put(taken.keys, site, taken.system, new_site=new))


def _map(request: ImportRequest, source: Source, first: Sheet, tally: Tally) -> ColumnMap:
    """Return the column map: the given one, or what can be recognised without doubt."""
    if request.map_path is not None:
        mapped = read_map(request.map_path, SITES)
        require_columns(mapped, source.columns, source.name)
        guessed = None
    else:
        guessed = guess(first, source.columns, SITES, keyed=True)
        mapped = guessed.map
        tally.notes += guessed.told()
    if request.write_map is not None:
        _write_map(request.write_map, mapped, guessed)
        tally.notes.append(f"The column map is written to {request.write_map}.")
    if not mapped.key:
        told = " ".join(guessed.told()) if guessed else f"Columns: {', '.join(source.columns)}."
        raise FileError(
            f"No column of {source.name} is surely the number of a site. Name it as key in a "
            f"column map (--map; --write-map makes one to start from). {told}"
        )
    return mapped


def _write_map(path: Path, mapped: ColumnMap, guessed: Guess | None) -> None:
    notes = guessed.told()[1:] if guessed else []
    try:
        path.write_text(written(mapped, notes), encoding="utf-8")
    except OSError as wrong:
        raise FileError(f"The column map {path} cannot be written: {wrong.strerror}.") from wrong
