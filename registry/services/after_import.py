"""What an import makes out of date: places of sites, due dates of touched ones, flood facts."""

from collections.abc import Collection
from datetime import date, datetime

from registry.due.after_flood import AFTER_FLOOD
from registry.services.after_flood import flooded_sites
from registry.services.flag_sites import flag_sites
from registry.services.high_water import work_out_stages
from registry.services.locate_sites import locate_sites
from registry.services.recompute_due import COMPUTED_ON, recompute_due
from registry.store import Author, Session, users
from registry.store.flood_load import has_layers
from registry.store.scope import Scope

AT_ONCE = 100_000
"""Above so many touched sites the work is left to the next ``due`` and ``flag``."""


def after_import(
    session: Session, now: datetime, today: date, site_ids: Collection[int] | None
) -> list[str]:
    """Work out again what hangs on what was imported, and return what was done, in sentences.

    Parameters
    ----------
    site_ids
        The sites that were touched; None after a flood layer or a river: every site's flood facts.
    """
    if site_ids is not None and not site_ids:
        return []
    if site_ids is not None and len(site_ids) > AT_ONCE:
        users.set_setting(session, COMPUTED_ON, "")
        return [
            f"{len(site_ids):,} sites were touched. What is due is worked out when it is next "
            "asked for (riserway due); flood facts with: riserway flag."
        ]
    said = []
    if site_ids is not None:
        recompute_due(session, today, site_ids)
        said.append(f"What is due was worked out again for {len(site_ids):,} sites.")
    if has_layers(session):
        counts = flag_sites(session, now, site_ids)
        said.append(
            f"Flood facts were worked out again for {counts['sites']:,} sites: "
            f"{counts['in_hazard_area']:,} in a special flood hazard area. "
            "Not a flood determination."
        )
    if known := work_out_stages(session, site_ids):
        said.append(f"The stage that puts it under water was worked out for {known:,} components.")
    if site_ids is None and (flooded := flooded_sites(session)):
        recompute_due(session, today, flooded, [AFTER_FLOOD])
        said.append(f"After-flood checks were worked out for {len(flooded):,} sites.")
    return said


def locate_after_import(
    session: Session, by: Author, site_ids: Collection[int] | None
) -> tuple[list[int], list[str]]:
    """Place the sites that came without a position; return those placed, and sentences.

    ``site_ids`` None looks at all sites, as after a layer that they are located by.
    """
    done = locate_sites(session, Scope(), by, site_ids)
    said = list(done.notes)
    if done.placed:
        said.append(f"{len(done.placed):,} sites without a position were located.")
    if done.doubtful:
        said.append(
            f"{len(done.doubtful):,} sites have places to decide on: riserway locate, or the page "
            "Moving in."
        )
    return done.placed, said
