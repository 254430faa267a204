"""A long piece of work that a page asked for, and how far it has come."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One job; ``state`` is queued, running, done or failed, ``progress`` a sentence for people."""

    id: int
    kind: str
    subject: str
    state: str
    progress: str = ""
    asked_by: str = ""
    asked_at: datetime
    ended_at: datetime | None = None
    pid: int | None = None

    @property
    def is_open(self) -> bool:
        """Whether the job is still to end."""
        return self.state in {"queued", "running"}
