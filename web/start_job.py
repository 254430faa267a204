"""Starting a day's ordering in a process of its own, so that pages answer meanwhile."""

import os
import subprocess
import sys
from datetime import date

from registry.wiring import Parts

SECONDS = 10
"""How long the pages let the solver search. [s]"""


_STARTED: list[subprocess.Popen[bytes]] = []
"""Processes that we started; asked after now and then, so that none stays behind as a zombie."""


def start_ordering(parts: Parts, job_id: int, firm_id: int, on_date: date) -> None:
    """Start ``riserway plan`` for a job; it writes its progress into the job's row.

    The store's address goes by the environment, since it may hold a password and a process's
    arguments can be read by others.
    """
    told = {
        **os.environ,
        "RISERWAY_STORE": parts.settings.store_url,
        "RISERWAY_FOLDER": str(parts.settings.folder),
    }
    command = [sys.executable, "-m", "registry.cli.main", "plan", on_date.isoformat()]
    command += ["--seconds", str(SECONDS), "--job", str(job_id), "--firm-id", str(firm_id)]
    if parts.fixed_today is not None:
        command += ["--today", parts.fixed_today.isoformat()]
    _STARTED[:] = [one for one in _STARTED if one.poll() is None]
    _STARTED.append(
        subprocess.Popen(  # noqa: S603 - our own command, no shell, arguments are numbers and dates
            command,
            env=told,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    )
