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
_ASKED: list[subprocess.Popen[bytes]] = []
"""Those of them that were asked to end."""


def is_alive(pid: int) -> bool:
    """Tell whether a process runs; our own that ended are let go first, since they linger."""
    _STARTED[:] = [one for one in _STARTED if one.poll() is None]
    _ASKED[:] = [one for one in _ASKED if one.poll() is None]
    if sys.platform == "win32":  # there the signal 0 would interrupt the process
        return any(one.pid == pid for one in (*_STARTED, *_ASKED))
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def stop_ordering(pid: int | None) -> bool:
    """Ask an ordering to end with the best plan so far; tell whether it was asked.

    Only a process that we started is asked, and only once: asked again it would end without a plan.
    """
    started = next((one for one in _STARTED if one.pid == pid and one.poll() is None), None)
    if started is None or sys.platform == "win32":  # there it would end at once, without a plan
        return False
    _STARTED.remove(started)
    _ASKED.append(started)
    started.terminate()
    return True


def start_ordering(
    parts: Parts,
    job_id: int,
    firm_id: int,
    on_date: date,
    search_s: float = SEARCH_S,
    days: int = 1,
) -> int:
    """Start ``riserway plan`` for a job and return the id of its process.

    It writes its progress into the job's row. More than one of ``days`` are ordered together.

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
    command += ["--days", str(days)] if days > 1 else []
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
