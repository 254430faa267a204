"""Behind a reverse proxy: the client's address and scheme are taken from it, and from no other."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from werkzeug.middleware.proxy_fix import ProxyFix

if TYPE_CHECKING:
    from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment


def behind(app: "WSGIApplication", proxies: tuple[str, ...]) -> "WSGIApplication":
    """Return the app; ``X-Forwarded-For`` and ``-Proto`` count if they come from a proxy named."""
    told = ProxyFix(app, x_for=1, x_proto=1)

    def chosen(environ: "WSGIEnvironment", start: "StartResponse") -> Iterable[bytes]:
        return (told if environ.get("REMOTE_ADDR") in proxies else app)(environ, start)

    return chosen
