"""Rows of reports that other firms send, and of an authority's list of licences."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from registry.imports.fields import Field
from registry.imports.guess import simple
from registry.imports.rows import Rows
from registry.imports.words import plain
from registry.records.gate_visit import SERIOUSNESS
from registry.records.reading_kinds import ReadingKind
from registry.records.reports_in import GivenReport, Licensed

REPORTS = (
    Field(name="site", kind="name", also=("sitekey", "siteid", "siteno", "sitenumber", "key")),
    Field(name="permit_no", kind="name", also=("permit", "permitnumber", "permitid")),
    Field(name="system", kind="name", also=("systemkey", "systemid", "systemno")),
    Field(name="date", kind="date", also=("visitdate", "servicedate", "ondate")),
    Field(name="received", kind="date", also=("receivedon", "datereceived", "reportdate")),
    Field(name="firm", kind="name", also=("company", "provider", "serviceprovider")),
    Field(name="person", kind="name", also=("technician", "inspector", "by")),
    Field(name="licence", kind="name", also=("license", "licenceno", "licenseno", "licensenumber")),
    Field(name="tasks", kind="list", also=("task", "visittype", "work")),
    Field(name="findings", kind="list", also=("finding", "deficiency", "deficiencies")),
    Field(name="seriousness", kind="word", words=SERIOUSNESS),
    Field(name="finding_note", kind="name"),
    Field(name="mended", kind="list", also=("corrected", "repaired")),
    Field(name="answer", kind="name"),
)
"""What a file of reports may say, besides a column for each kind of reading."""
REPORTS_NEED = ("date", "licence", "tasks")

LICENCES = (
    Field(name="number", kind="name", also=("licence", "license", "licensenumber", "licenceno")),
    Field(name="kind", also=("type", "class")),
    Field(name="firm", kind="name", also=("company", "business")),
    Field(name="person", kind="name", also=("name", "holder")),
    Field(name="valid_from", kind="date", also=("issued", "from")),
    Field(name="valid_to", kind="date", also=("expires", "to", "until")),
    Field(name="jurisdiction", also=("county", "countyname", "authority")),
)
LICENCES_NEED = ("number",)


def report_fields(kinds: Iterable[ReadingKind]) -> tuple[Field, ...]:
    """Return what the columns of a file of reports can mean; readings with or without a unit."""
    return (
        *REPORTS,
        *(
            Field(name=one.code, kind="name", also=(simple(f"{one.code}{one.unit}"),))
            for one in kinds
        ),
    )


def given_report(rows: Rows, i: int, kinds: Iterable[str]) -> GivenReport:
    """Return the report that a row gives."""
    said = {name: values[i] for name, values in rows.values.items()}
    return GivenReport(
        site=said.get("site") or "",
        permit_no=said.get("permit_no") or "",
        system=said.get("system") or "",
        on_date=said.get("date"),
        received_on=said.get("received"),
        firm=said.get("firm") or "",
        person=said.get("person") or "",
        licence=said.get("licence") or "",
        tasks=tuple(said.get("tasks") or ()),
        readings={one: said[one] for one in kinds if said.get(one)},
        findings=tuple(said.get("findings") or ()),
        seriousness=said.get("seriousness") or "",
        finding_note=said.get("finding_note") or "",
        mended=tuple(said.get("mended") or ()),
        answer=said.get("answer") or "",
    )


def in_words(given: GivenReport, known: Sequence[str]) -> GivenReport:
    """Return a report whose tasks and findings are spelled as the lists of ``known`` words are."""
    ours = {plain(one): one for one in known}

    def spelled(words: Iterable[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(ours.get(plain(one), one) for one in words))

    return replace(
        given,
        tasks=spelled(given.tasks),
        findings=spelled(given.findings),
        mended=spelled(given.mended),
    )


def licensed_row(rows: Rows, i: int, jurisdiction_id: int) -> Licensed:
    """Return the licence that a row gives."""
    said = {name: values[i] for name, values in rows.values.items()}
    return Licensed(
        jurisdiction_id=jurisdiction_id,
        number=said["number"],
        kind=said.get("kind") or "",
        firm=said.get("firm") or "",
        person=said.get("person") or "",
        valid_from=said.get("valid_from"),
        valid_to=said.get("valid_to"),
    )
