"""Log lines as JSON objects, one a line, for programs that collect logs."""

import json
import logging
import traceback
from datetime import UTC, datetime


class JsonLines(logging.Formatter):
    """Formats a record as one line: ``at``, ``level``, ``from``, ``says``, and what it tells more.

    A fault adds ``fault_in``, the places in the program that it went through, innermost last, and
    ``kind``, its class. Its text and the values around it are left out: they may be private.
    """

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "says": record.getMessage(),
        }
        line |= getattr(record, "told", {})
        if record.exc_info and record.exc_info[0]:
            line["kind"] = record.exc_info[0].__name__
            line["fault_in"] = [
                f"{frame.filename.rpartition('/')[2]}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(record.exc_info[2])
            ]
        return json.dumps(line, ensure_ascii=False)


PLAIN = "%(asctime)s %(levelname)s %(message)s"


def set_up(kind: str) -> None:
    """Write the log to standard error: ``plain`` warnings, or ``json``, each request too."""
    handler = logging.StreamHandler()
    handler.setFormatter(JsonLines() if kind == "json" else logging.Formatter(PLAIN))
    logging.basicConfig(level=logging.WARNING, handlers=[handler])
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # requests that wait are no fault
    if kind == "json":
        logging.getLogger("riserway").setLevel(logging.INFO)
