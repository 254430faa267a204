"""Which column means what, in the files of the import commands that guess it."""

from collections.abc import Sequence

from registry.errors import ConfigError
from registry.imports.column_map import ColumnMap, read_map, require_columns
from registry.imports.fields import Field
from registry.imports.guess import guess
from registry.imports.sheet import Sheet, Source
from registry.services.import_outcome import ImportRequest, Tally


def map_of(
    request: ImportRequest,
    kind: str,
    fields: Sequence[Field],
    needed: Sequence[str],
    source: Source,
    first: Sheet,
    tally: Tally,
) -> ColumnMap:
    """Return the column map that the user gives, else the one that the columns' names suggest.

    Parameters
    ----------
    kind
        What the rows are, for the complaint.
    fields, needed
        What a column can mean, and the fields without which a row says nothing.
    first
        The first rows, to look at.
    tally
        Takes what was in doubt.

    Raises
    ------
    ConfigError
        If the map does not fit the file, or the file lacks a column that is needed.
    """
    if request.map_path is not None:
        mapped = read_map(request.map_path, fields)
        require_columns(mapped, source.columns, source.name)
    else:
        guessed = guess(first, source.columns, fields, keyed=False)
        mapped = guessed.map
        tally.notes += guessed.doubts
    missing = [one for one in needed if one not in {*mapped.columns, *mapped.constants}]
    if missing:
        raise ConfigError(
            f"{source.name} has no column for {', '.join(missing)}, which {kind} need. Its "
            f"columns: {', '.join(source.columns) or 'none'}. Name them in a column map (--map)."
        )
    return mapped
