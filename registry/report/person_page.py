"""What is kept about one person, as a page that anybody can read and print; pure."""

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

STYLE = (
    "body{font:1rem/1.4 serif;max-width:60rem;margin:2rem auto;padding:0 1rem}"
    "table{border-collapse:collapse;margin-bottom:2rem}"
    "td,th{border:1px solid #888;padding:.2rem .5rem;text-align:left}"
    "td{vertical-align:top;overflow-wrap:anywhere}"
)


def person_page(
    title: str, says: Sequence[str], tables: Mapping[str, Sequence[Mapping[str, Any]]]
) -> str:
    """Return an HTML page that needs nothing beside it.

    Parameters
    ----------
    title
        What the page is called.
    says
        Sentences at its top.
    tables
        By name: rows, each by column. Columns that are empty in every row are left out.
    """
    parts = [
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{STYLE}</style><h1>{escape(title)}</h1>",
        *(f"<p>{escape(one)}</p>" for one in says),
    ]
    for name, rows in tables.items():
        columns = [
            one for one in rows[0] if any(row[one] not in {None, ""} for row in _texts(rows))
        ]
        parts.append(f"<h2>{escape(_words(name))} ({len(rows)})</h2><table><thead><tr>")
        parts += [f"<th>{escape(_words(one))}</th>" for one in columns]
        parts.append("</tr></thead><tbody>")
        for row in _texts(rows):
            cells = "".join(f"<td>{escape(row[one])}</td>" for one in columns)
            parts.append(f"<tr>{cells}</tr>")
        parts.append("</tbody></table>")
    return "".join(parts) + "</html>\n"


def _texts(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
    return [{name: "" if one is None else str(one) for name, one in row.items()} for row in rows]


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()
