"""Importing the crew file: firm, jurisdictions, trucks, technicians, fill and disposal places."""

from registry.imports.crew_file import read_crew
from registry.records.changes import ImportCounts
from registry.services.import_outcome import ImportOutcome, ImportRequest, keep_line
from registry.services.recompute_due import COMPUTED_ON
from registry.store import Session, crew, places, users


def import_crew(session: Session, request: ImportRequest) -> ImportOutcome:
    """Bring a crew file into the registry; everything is matched by its name.

    Raises
    ------
    FileError
        If the file cannot be read.
    RowError
        If entries are wrong; nothing is written then, since they hang together.
    """
    given, by = read_crew(request.path), request.author
    firm_id, done_firm = places.put_firm(session, given.firm, by)
    done = [done_firm]
    rules = [places.put_jurisdiction(session, one, by)[1] for one in given.jurisdictions]
    if "changed" in rules:  # other rules may hold now: all due dates are to be looked at again
        users.set_setting(session, COMPUTED_ON, "")
    done += rules
    done += [crew.put_truck(session, firm_id, one, by)[1] for one in given.trucks]
    done += [crew.put_technician(session, firm_id, one, by)[1] for one in given.technicians]
    done += [crew.put_fill_point(session, firm_id, one, by)[1] for one in given.fill_points]
    done += [crew.put_disposal_site(session, one, by)[1] for one in given.disposal_sites]
    counts = ImportCounts(
        read=len(done),
        added=done.count("added"),
        changed=done.count("changed"),
        unchanged=done.count("unchanged"),
        rejected=0,
    )
    keep_line(session, "crew", request, counts)
    return ImportOutcome(counts=counts)
