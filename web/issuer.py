"""Asking a county's own sign-in (OpenID Connect): the only call to another host that there is.

The host is fixed by the setting: an address that the issuer's own document names elsewhere is not
asked, no redirect is followed, no proxy is used. OpenID Connect Core 1.0 and Discovery 1.0, the
code flow; PKCE is RFC 7636.
"""

import base64
import hashlib
import json
import ssl
from dataclasses import dataclass
from datetime import datetime
from http.client import HTTPException, HTTPMessage
from typing import IO, Any
from urllib.error import HTTPError
from urllib.parse import quote, urlencode, urlsplit
from urllib.request import (
    HTTPRedirectHandler,
    HTTPSHandler,
    OpenerDirector,
    ProxyHandler,
    Request,
    build_opener,
)

from registry.config import CountySignIn
from registry.errors import AccessError, SignInError

PATIENCE_S = 10
MOST_BYTES = 2**18
LEEWAY_S = 60
"""How far two clocks may differ. [s]"""
ALGORITHMS = ["RS256", "PS256", "ES256"]
SILENT = "Your county's sign-in does not answer as it should. Try later, or use name and password."
NOT_TRUSTED = "Your county's sign-in sent an answer that cannot be trusted. Begin once more."


class _Stay(HTTPRedirectHandler):
    def redirect_request(
        self, req: Request, fp: IO[bytes], code: int, msg: str, headers: HTTPMessage, newurl: str
    ) -> None:
        """Follow nobody to another address."""


@dataclass(frozen=True, slots=True)
class Begun:
    """What a browser keeps while it is away: who it is must come back with it."""

    state: str
    nonce: str
    verifier: str


class Issuer:
    """A county's own sign-in, asked over https."""

    def __init__(self, setting: CountySignIn, context: ssl.SSLContext | None = None) -> None:
        self.setting = setting
        tls = context or ssl.create_default_context()
        self._line: OpenerDirector = build_opener(
            ProxyHandler({}), _Stay(), HTTPSHandler(context=tls)
        )

    def way_in(self, begun: Begun, back_to: str) -> str:
        """Return the address to which the browser is sent."""
        asked = {
            "response_type": "code",
            "scope": "openid email",
            "client_id": self.setting.client_id,
            "redirect_uri": back_to,
            "state": begun.state,
            "nonce": begun.nonce,
            "code_challenge": _challenge(begun.verifier),
            "code_challenge_method": "S256",
        }
        return f"{self._address('authorization_endpoint')}?{urlencode(asked)}"

    def who(self, code: str, begun: Begun, back_to: str, now: datetime) -> str:
        """Return the verified e-mail address that a code stands for, in small letters.

        Raises
        ------
        AccessError
            If the answer is not for us, not from the issuer, too old, or names no verified address.
        SignInError
            If the issuer does not answer as it should.
        """
        form = {
            "grant_type": "authorization_code",
            "code": code,
            "redirect_uri": back_to,
            "code_verifier": begun.verifier,
        }
        told = self._asked(self._address("token_endpoint"), form)
        claims = self._claims(str(told.get("id_token", "")), begun.nonce, now)
        address = claims.get("email")
        if claims.get("email_verified") is not True or not isinstance(address, str):
            raise AccessError("Your county's sign-in does not say that your e-mail is verified.")
        return address.strip().lower()

    def _claims(self, token: str, nonce: str, now: datetime) -> dict[str, Any]:
        from joserfc import jwt
        from joserfc.errors import JoseError
        from joserfc.jwk import KeySet

        right = jwt.JWTClaimsRegistry(
            now=int(now.timestamp()),
            leeway=LEEWAY_S,
            iss={"essential": True, "value": self.setting.issuer},
            sub={"essential": True},
            exp={"essential": True},
            iat={"essential": True},
            nonce={"essential": True, "value": nonce},
        )
        try:
            keys = KeySet.import_key_set(self._asked(self._address("jwks_uri")))  # type: ignore[arg-type]
            claims = dict(jwt.decode(token, keys, algorithms=ALGORITHMS).claims)
            right.validate(claims)
        except (JoseError, ValueError, KeyError, TypeError) as wrong:
            raise AccessError(NOT_TRUSTED) from wrong
        if claims.get("aud") not in (self.setting.client_id, [self.setting.client_id]):
            raise AccessError(NOT_TRUSTED)
        return claims

    def _address(self, name: str) -> str:
        """Return one of the issuer's addresses, from its own document; on its own host alone."""
        document = self._asked(f"{self.setting.issuer}/.well-known/openid-configuration")
        address = document.get(name)
        parts = urlsplit(address if isinstance(address, str) else "")
        own = parts.scheme == "https" and parts.netloc == self.setting.host
        if document.get("issuer") != self.setting.issuer or not own:
            raise SignInError(SILENT)
        return str(address)

    def _asked(self, address: str, form: dict[str, str] | None = None) -> dict[str, Any]:
        heads = {"Accept": "application/json"}
        if form is not None:
            pair = f"{quote(self.setting.client_id, safe='')}:{quote(self.setting.secret, safe='')}"
            heads["Authorization"] = f"Basic {base64.b64encode(pair.encode()).decode()}"
        body = urlencode(form).encode() if form is not None else None
        try:
            asked = Request(address, body, heads)  # noqa: S310 - https, on the host of the setting
            with self._line.open(asked, timeout=PATIENCE_S) as answer:
                told = json.loads(answer.read(MOST_BYTES))
        except HTTPError as refused:
            if form is not None and refused.code == 400:
                raise AccessError(NOT_TRUSTED) from refused
            raise SignInError(SILENT) from refused
        except (OSError, HTTPException, ValueError) as wrong:
            raise SignInError(SILENT) from wrong
        if not isinstance(told, dict):
            raise SignInError(SILENT)
        return told


def _challenge(verifier: str) -> str:
    digest = hashlib.sha256(verifier.encode()).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
