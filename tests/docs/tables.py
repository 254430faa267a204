"""Reading the tables of the documents, so that tests can hold them to the code."""

from pathlib import Path

ROOT = Path(__file__).parents[2]


def rows(document: str, first_heading: str) -> list[list[str]]:
    """Return the cells of the table whose first column has this heading, without the heading row.

    Code marks are taken off, so that ``days`` in backquotes reads days.
    """
    lines = (ROOT / document).read_text(encoding="utf-8").splitlines()
    starts = [
        number for number, line in enumerate(lines) if line.startswith(f"| {first_heading} |")
    ]
    assert len(starts) == 1, f"{document} has {len(starts)} tables that begin with {first_heading}."
    table = []
    for line in lines[starts[0] + 2 :]:
        if not line.startswith("|"):
            break
        table.append([cell.strip().strip("`") for cell in line.strip().strip("|").split("|")])
    assert table, f"The table {first_heading} of {document} is empty."
    return table
