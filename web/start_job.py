"""Starting a day's ordering in a process of its own, so that pages answer meanwhile."""

import os
import subprocess
import sys
from datetime import date

from registry.wiring import Parts

SEARCH_S = 10.0
"""How long the pages let the solver search, unless told otherwise. [s]"""


_STARTED: list[subprocess.Popen[bytes]] = []
"""Processes that we started; asked after now and then, so that none stays behind as a zombie."""


def is_alive(pid: int) -> bool:
    """Tell whether a process runs; our own that ended are let go first, since they linger."""
    _STARTED[:] = [one for one in _STARTED if one.poll() is None]
    if sys.platform == "win32":  # there the signal 0 would interrupt the process
        return any(one.pid == pid for one in _STARTED)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def start_ordering(
    parts: Parts, job_id: int, firm_id: int, on_date: date, search_s: float = SEARCH_S
) -> int:
    """Start ``riserway plan`` for a job and return the id of its process.

    It writes its progress into the job's row.

    The store's address goes by the environment, since it may hold a password and a process's
    arguments can be read by others.
    """
    told = {
        **os.environ,
        "RISERWAY_STORE": parts.settings.store_url,
        "RISERWAY_FOLDER": str(parts.settings.folder),
    }
    command = [sys.executable, "-m", "registry.cli.main", "plan", on_date.isoformat()]
    command += ["--seconds", str(search_s), "--bound-seconds", str(search_s)]
    command += ["--job", str(job_id), "--firm-id", str(firm_id)]
    if parts.fixed_today is not None:
        command += ["--today", parts.fixed_today.isoformat()]
    started = subprocess.Popen(  # noqa: S603 - our own command, no shell, numbers and dates
        command,
        env=told,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    _STARTED.append(started)
    return started.pid
