"""The pages: a factory that takes the parts as an argument; nothing happens on import."""

from datetime import timedelta

from flask import Flask, Response, current_app, redirect, url_for

from registry.privacy import may
from registry.wiring import Parts
from web import (
    access,
    errors,
    headers,
    library,
    limits,
    moved_on,
    new_day,
    phone_door,
    read_log,
    static_files,
    watching,
)
from web.behind_proxy import behind
from web.context import PARTS, nonce
from web.issuer import Issuer
from web.pages import county_sign_in
from web.start_job import SEARCH_S

PAGES = (
    ("Day", "day.show", "see the day"),
    ("County map", "county_map.show", "see the county map"),
    ("Due list", "due_list.show", "see the due list"),
    ("High water", "high_water.show", "see high water"),
    ("Numbers", "numbers.show", "see the numbers"),
    ("Reports", "reports.show", "see reports owed"),
    ("Deadlines", "deadlines.show", "see reports owed"),
    ("Letters", "letters.show", "write letters"),
    ("Hydraulics", "hydraulics.show", "read a gate sheet"),
    ("Moving in", "moving_in.show", "decide on imports"),
    ("Phones", "phones.show", "pair phones"),
)
"""Label, endpoint, and the act that a role must be allowed."""


def create_app(
    parts: Parts,
    *,
    secret: str,
    by_https: bool = False,
    proxies: tuple[str, ...] = (),
    search_s: float = SEARCH_S,
    county: Issuer | None = None,
) -> Flask:
    """Return the app over opened parts.

    Parameters
    ----------
    parts
        Store, folder, clock.
    secret
        Signs the session cookie; the same for all processes of one installation.
    by_https
        Whether this server itself is reached by https; then cookies are marked Secure.
    proxies
        Addresses of servers in front that do https; cookies are marked Secure, and the visitor's
        address and scheme are taken from these servers only.
    search_s
        How long ordering a day from its page searches. [s]
    county
        A county's own sign-in; without one no other host is ever called.
    """
    app = Flask(
        "web",
        static_url_path=static_files.address_of_edition(),
        static_folder="static",
        template_folder="templates",
    )
    app.config.update(
        SECRET_KEY=secret,
        MAX_CONTENT_LENGTH=2**20,
        SESSION_COOKIE_SECURE=by_https or bool(proxies),
        PERMANENT_SESSION_LIFETIME=timedelta(days=14),
        SEARCH_S=search_s,
    )
    if proxies:
        app.wsgi_app = behind(app.wsgi_app, proxies)  # type: ignore[method-assign,assignment]  # as Flask's own guide does
    app.extensions[PARTS] = parts
    app.extensions[county_sign_in.ISSUER] = county
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True}
    watching.install(app)
    headers.install(app)
    static_files.install(app)
    errors.install(app)
    access.install(app)
    limits.install(app)
    read_log.install(app)
    moved_on.install(app)
    phone_door.install(app)
    new_day.install(app)
    _register_pages(app)
    app.jinja_env.globals["library_url"] = library.library_url
    app.context_processor(_for_every_page)
    app.add_url_rule("/", "start", start)
    return app


def start() -> Response:
    """Send everybody to the page that their role comes for."""
    if not access.signed_in():
        return redirect(url_for("security.login"))  # type: ignore[return-value]  # werkzeug's base class
    for _, endpoint, act in PAGES:
        if may(access.viewer(), act):
            return redirect(url_for(endpoint))  # type: ignore[return-value]
    return redirect(url_for("security.login"))  # type: ignore[return-value]


def _register_pages(app: Flask) -> None:
    from web import downloads, tiles
    from web.features import pages as features
    from web.pages import (
        calendar_feed,
        carry,
        closed_roads,
        county_map,
        day,
        day_edit,
        day_run,
        deadlines,
        due_list,
        gate_sheet,
        health,
        high_water,
        hydraulics,
        letters,
        merge,
        morning,
        moving_in,
        numbers,
        own_route,
        own_sign_in,
        pair,
        phones,
        photos,
        reads,
        record,
        reports,
        reports_in,
        sale,
        settle,
        sign_ins,
        site_edit,
        site_file,
    )

    for module in (
        day,
        day_edit,
        day_run,
        morning,
        own_route,
        closed_roads,
        gate_sheet,
        record,
        reports,
        reports_in,
        deadlines,
        photos,
        site_file,
        site_edit,
        merge,
        sale,
        settle,
        county_map,
        due_list,
        high_water,
        hydraulics,
        letters,
        moving_in,
        calendar_feed,
        numbers,
        pair,
        phones,
        sign_ins,
        reads,
        own_sign_in,
        county_sign_in,
        health,
        tiles,
        downloads,
        features,
        library,
        carry,
    ):
        app.register_blueprint(module.pages)


def _for_every_page() -> dict[str, object]:
    from flask import request

    shown = []
    if access.signed_in():
        shown = [
            (label, url_for(endpoint), request.blueprint == endpoint.split(".")[0])
            for label, endpoint, act in PAGES
            if may(access.viewer(), act)
        ]
    return {
        "pages": shown,
        "csp_nonce": nonce(),
        "signed_in": access.signed_in(),
        "by_county": current_app.extensions[county_sign_in.ISSUER] is not None,
        "may_record": access.signed_in() and may(access.viewer(), "record a visit"),
        "viewer": access.viewer() if access.signed_in() else None,
    }
