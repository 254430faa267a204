"""Headers of every answer, and the check that a write comes from our own pages."""

from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

from web.context import nonce

SAFE = {"GET", "HEAD", "OPTIONS"}


def install(app: Flask) -> None:
    """Refuse cross-site writes and text that no store holds; send the security headers."""
    app.before_request(refuse_cross_site_writes)
    app.before_request(refuse_nul)
    app.after_request(add_headers)


def refuse_cross_site_writes() -> None:
    """Answer 403 to a write that did not start on one of our pages.

    A browser says where a request comes from (Sec-Fetch-Site, else Origin); no token is needed
    that could expire in a technician's pocket.
    """
    if request.method in SAFE:
        return
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        if site not in {"same-origin", "none"}:
            abort(403)
        return
    origin = request.headers.get("Origin")
    if origin is None or urlsplit(origin).netloc != request.host:
        abort(403)


def refuse_nul() -> None:
    """Answer 400 to an address or a form with a NUL in it: PostgreSQL holds none in a text.

    The features refuse it themselves, in the form that their standard asks for.
    """
    if request.path.startswith("/ogc/"):
        return
    said = [request.path, *(one for pair in request.args.items(multi=True) for one in pair)]
    if request.mimetype == "application/x-www-form-urlencoded":
        said += [one for pair in request.form.items(multi=True) for one in pair]
    if any("\0" in one for one in said):
        abort(400)


def add_headers(answer: Response) -> Response:
    """Add the content policy (no inline script, nothing from another host) and its companions."""
    own = f"'self' 'nonce-{nonce()}'"
    answer.headers.setdefault(
        "Content-Security-Policy",
        f"default-src 'self'; script-src {own}; style-src {own}; img-src 'self' data: blob:; "
        "worker-src 'self' blob:; connect-src 'self'; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'",
    )
    answer.headers.setdefault("X-Content-Type-Options", "nosniff")
    answer.headers.setdefault("Referrer-Policy", "same-origin")
    answer.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
    answer.headers.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
    if request.is_secure:
        answer.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer
