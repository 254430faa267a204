"""What must stand beside the body of each answer by https, and what a write from elsewhere is.

Policy and companions as in CSP level 3 (W3C), HSTS (RFC 6797), HTTP caching (RFC 9111), and the
list of security headers of the OWASP Secure Headers Project.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.pages.walking import Told

ELSEWHERE: tuple[dict[str, str], ...] = (
    {},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
    {"Sec-Fetch-Site": "none, same-origin"},
    {"Origin": "https://elsewhere.invalid"},
    {"Origin": "https://localhost.elsewhere.invalid"},
    {"Origin": "null"},
    {"Referer": "https://localhost/due/"},
)
"""What comes with a write that did not begin on one of our pages."""
WHOLE = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Strict-Transport-Security": "max-age=31536000",
}
SOURCES = dict.fromkeys(("default-src", "form-action", "connect-src"), "'self'") | dict.fromkeys(
    ("frame-ancestors", "object-src", "base-uri"), "'none'"
)
A_PICTURE = "default-src 'none'; frame-ancestors 'none'; sandbox"
"""The policy of a photo: somebody else made its bytes, nothing in them may run or load."""
FLAGS = {"Secure", "HttpOnly", "SameSite=Lax", "Path=/"}
OF_THE_PROGRAM = {"no-cache", "public, max-age=31536000, immutable"}
"""For files that are the same for everybody."""
OWN_KEPT = {"tiles", "photos"}
"""Pages whose answers a browser may keep for itself, and ask before it shows them again."""


def faults(told: "Told") -> Iterator[str]:
    """Yield what is wrong with the headers of one answer."""
    if not _is_strict(told.headers.get("Content-Security-Policy", "")):
        yield f"Content-Security-Policy {told.headers.get('Content-Security-Policy')}"
    for name, value in WHOLE.items():
        if told.headers.get(name) != value:
            yield f"{name} {told.headers.get(name)}"
    if not told.headers.get("Content-Type") and told.status not in {204, 304}:
        yield "no Content-Type"
    if not _kept_rightly(told):
        yield f"Cache-Control {told.headers.get('Cache-Control')}"
    for one in told.headers.getlist("Set-Cookie"):
        flags = {part.strip() for part in one.split(";")[1:]}
        if not flags >= FLAGS or any(part.startswith("Domain") for part in flags):
            yield f"cookie {one}"


def _is_strict(policy: str) -> bool:
    """Tell whether a policy lets nothing run that is written into a page or is elsewhere."""
    if policy == A_PICTURE:
        return True
    parts = dict(one.strip().partition(" ")[::2] for one in policy.split(";"))
    return (
        not any(one in policy for one in ("unsafe", "http", "*"))
        and SOURCES.items() <= parts.items()
    )


def _kept_rightly(told: "Told") -> bool:
    said = told.headers.get("Cache-Control", "")
    if told.path.startswith("/static/") or told.path == "/sw.js":
        return said in OF_THE_PROGRAM
    if said.startswith("private, ") and told.endpoint.split(".")[0] in OWN_KEPT:
        return told.status < 400
    return said == "no-store"
