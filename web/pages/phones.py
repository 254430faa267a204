"""The Phones page: pairing a technician's phone, seeing all of them, signing a lost one out."""

from ipaddress import ip_address
from urllib.parse import urlsplit

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.privacy import may
from registry.services import phones as known
from registry.services.pair_phone import CODE_LIFE, offer_pairing, technicians_to_pair
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, writing
from web.draw.qr import qr_svg
from web.forms import number_in
from web.phone_door import COOKIE, phone_here

pages = Blueprint("phones", __name__, url_prefix="/phones")


@pages.get("/")
@needs("pair phones")
def show() -> str:
    """Show the phones and the form that pairs one."""
    return _page()


@pages.post("/pair")
@needs("pair phones")
def offer() -> str:
    """Show a one-time address as a QR code; it is told once and kept as a hash only."""
    technician_id = number_in(request.form.get("technician_id", ""))
    if technician_id is None:
        raise RangeError("Choose a technician from the list.")
    with writing() as session:
        code = offer_pairing(
            session, viewer(), technician_id, request.form.get("name", ""), parts().now()
        )
        who = technicians_to_pair(session, viewer())[technician_id]
    # behind the # it never reaches a server, so no log on the way can hold it
    address = url_for("pair.show", _external=True) + "#" + code
    return _page(
        offered={
            "who": who,
            "code": code,
            "address": url_for("pair.show", _external=True),
            "qr": qr_svg(address),
            "minutes": CODE_LIFE.seconds // 60,
        }
    )


@pages.post("/<int:phone_id>/sign-out")
@needs("pair phones")
def sign_out(phone_id: int) -> AnyResponse:
    """Sign a phone out."""
    with writing() as session:
        phone = known.sign_phone_out(session, viewer(), phone_id, parts().now())
    flash(
        f"Signed out: {phone.name} of {phone.who}. When it is next in touch it destroys what it "
        "carries."
    )
    return redirect(url_for("phones.show"))


@pages.post("/wiped")
def wiped() -> AnyResponse:
    """Take a phone's word that it destroyed what it carried, and take its secret away.

    Anybody may send this: it changes nothing but for a phone that is signed out.
    """
    here = phone_here()
    answer: AnyResponse = Response(status=204)
    if "text/html" in request.headers.get("Accept", ""):  # a form of ours, no script
        answer = redirect(url_for("security.login"), 303)
    if here is not None and here.must_wipe:
        with writing() as session:
            known.note_wiped(session, here.phone, parts().now())
        answer.delete_cookie(COOKIE)
    return answer


def _page(offered: dict[str, object] | None = None) -> str:
    now = parts().now()
    with reading() as session:
        found = known.list_phones(session, viewer())
        technicians = technicians_to_pair(session, viewer())
        zone = zone_of(session, viewer())
    return render_template(
        "phones.html",
        offered=offered,
        technicians=technicians,
        phones=[(one, known.has_expired(one, now)) for one in found],
        zone=zone,
        warning=_about_the_address(),
        may_manage=may(viewer(), "manage sign-ins"),
        present=present,
    )


def _about_the_address() -> str:
    """Say why a phone could not work at the address of this page, "" where it can."""
    host = urlsplit(request.host_url).hostname or ""
    if host == "localhost" or _is_loopback(host):
        return "loopback"
    return "" if request.is_secure else "no https"


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
