"""That somebody was shown private fields: who, what, of which sites; never what they hold."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivateRead:
    """One look: at a site; without one at a day (``on_date``) of the firm; else at the whole firm.

    ``what`` is the kind of page or file. ``firm_id`` None beside ``site_id`` None = all firms.
    ``site`` is the site's number, "" where it is of no one site.
    """

    at: datetime
    who: str
    role: str
    what: str
    firm_id: int | None = None
    site_id: int | None = None
    on_date: date | None = None
    site: str = ""

    @property
    def of(self) -> str:
        """Which sites, in words."""
        if self.site_id is not None:
            return f"site {self.site or self.site_id}"
        if self.on_date is not None:
            return f"the day {self.on_date.isoformat()}"
        return "all sites" if self.firm_id is None else "all sites of the firm"
