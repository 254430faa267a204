"""https as docs/phones.md sets it up: an own authority, a server process, clients that verify."""

import http.client
import os
import signal
import socket
import ssl
import subprocess
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode, urlsplit

import pytest

from tests.server import COMMAND

if TYPE_CHECKING:
    from tests.demo import Demo
    from tests.server import Server

FORM = {"Sec-Fetch-Site": "same-origin", "Content-Type": "application/x-www-form-urlencoded"}


def opened(url: str, context: ssl.SSLContext | None = None) -> "http.client.HTTPResponse":
    """The answer to a request by Python's own client."""
    answer: http.client.HTTPResponse = urllib.request.urlopen(url, context=context, timeout=60)  # noqa: S310 - our own address
    return answer


def made(folder: Path, *names: str) -> Path:
    """A folder with an authority and a certificate, made by the command."""
    told = [word for name in names for word in ("--name", name)]
    done = subprocess.run(
        [COMMAND, "certificate", "make", *told, "--to", folder], capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture
def https(tmp_path: Path) -> Path:
    """Certificate and authority for this machine."""
    return made(tmp_path / "https", "localhost", "127.0.0.1")


@pytest.fixture
def by_https(demo: "Demo", serve: "Callable[..., Server]", https: Path) -> "Server":
    """A server of the invented county, by https."""
    key = ("--certificate", str(https / "server.pem"), "--key", str(https / "server-key.pem"))
    return serve(demo.store_url, demo.folder, *key)


@pytest.fixture
def trusting(https: Path) -> ssl.SSLContext:
    """A client that trusts the authority and nobody else."""
    return ssl.create_default_context(cafile=https / "authority.crt")


@pytest.fixture
def connected(
    by_https: "Server", trusting: ssl.SSLContext
) -> "Iterator[http.client.HTTPSConnection]":
    """A connection that verified the server."""
    place = urlsplit(by_https.url)
    one = http.client.HTTPSConnection(place.hostname or "", place.port, context=trusting)
    with closing(one):
        yield one


def test_a_browser_that_trusts_the_authority_is_served(
    by_https: "Server",
    connected: http.client.HTTPSConnection,
    trusting: ssl.SSLContext,
    demo: "Demo",
) -> None:
    assert by_https.url.startswith("https://")
    shown = opened(f"{by_https.url}/sign-in", context=trusting)
    assert shown.status == 200
    assert shown.headers["Strict-Transport-Security"] == "max-age=31536000"
    form = urlencode({"username": "dispatcher", "password": demo.password("dispatcher")})
    connected.request("POST", "/sign-in", form, FORM)
    answer = connected.getresponse()
    answer.read()
    assert answer.status == 302
    (cookie,) = [
        one for one in answer.headers.get_all("Set-Cookie", []) if one.startswith("riserway=")
    ]
    assert "Secure" in cookie
    assert "HttpOnly" in cookie
    connected.request("GET", "/phones/", headers={"Cookie": cookie.partition(";")[0]})
    page = connected.getresponse().read().decode()
    assert "not open by https" not in page
    assert "leads to this computer only" in page


def test_a_browser_that_does_not_trust_it_refuses(by_https: "Server") -> None:
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        opened(by_https.url, context=ssl.create_default_context())


def test_who_forges_the_headers_of_a_proxy_gains_nothing(
    connected: http.client.HTTPSConnection,
) -> None:
    told = {"X-Forwarded-Proto": "http", "X-Forwarded-Host": "elsewhere.invalid"}
    connected.request("GET", "/", headers=told)
    answer = connected.getresponse()
    answer.read()
    assert answer.headers["Location"] == "/sign-in"
    assert answer.headers["Strict-Transport-Security"]


def test_clients_that_never_finish_greeting_hold_nobody_up(
    by_https: "Server", trusting: ssl.SSLContext
) -> None:
    place = urlsplit(by_https.url)
    address = (place.hostname or "", place.port or 0)
    slow = [socket.create_connection(address) for _ in range(40)]
    for one in slow:
        one.send(b"\x16\x03\x01")  # how a greeting begins

    def asked(_: int) -> int:
        with closing(http.client.HTTPSConnection(*address, context=trusting, timeout=60)) as one:
            sizes = set()
            for _ in range(10):
                one.request("GET", "/static/riserway.css")
                sizes.add(len(one.getresponse().read()))
            (size,) = sizes
            return size

    with ThreadPoolExecutor(12) as several:
        assert len(set(several.map(asked, range(12)))) == 1
    for one in slow:
        one.close()


def test_a_large_upload_arrives_whole_and_one_without_end_is_refused(
    connected: http.client.HTTPSConnection,
) -> None:
    connected.request("POST", "/pair/confirm", "code=" + "x" * 900_000, FORM)
    answer = connected.getresponse()
    answer.read()
    assert answer.status == 422
    connected.request("POST", "/pair/confirm", "code=" + "x" * 100_000_000, FORM)
    answer = connected.getresponse()
    assert answer.status == 413
    assert b"Too large" in answer.read()


def test_what_speaks_no_tls_gets_nothing_and_harms_nobody(
    by_https: "Server", trusting: ssl.SSLContext
) -> None:
    with pytest.raises((OSError, http.client.HTTPException)):
        opened(by_https.url.replace("https", "http"))
    assert opened(f"{by_https.url}/sign-in", context=trusting).status == 200


def test_a_request_that_has_begun_is_answered_after_the_server_was_told_to_end(
    by_https: "Server", connected: http.client.HTTPSConnection
) -> None:
    connected.putrequest("POST", "/pair/confirm")
    for name, value in {**FORM, "Content-Length": "9", "Expect": "100-continue"}.items():
        connected.putheader(name, value)
    connected.endheaders()
    assert connected.sock.recv(200).startswith(b"HTTP/1.1 100")  # the server has the request's head
    os.kill(by_https.process, signal.SIGTERM)
    connected.send(b"code=gone")
    answer = connected.getresponse()
    assert answer.status == 422
    assert b"This code is not right" in answer.read()


def test_a_key_of_another_certificate_is_said_in_one_sentence(
    https: Path, tmp_path: Path, demo: "Demo"
) -> None:
    other = made(tmp_path / "other", "localhost")
    words = [str(COMMAND), "serve", "--store", demo.store_url]
    words += ["--certificate", str(https / "server.pem")]
    done = subprocess.run(
        [*words, "--key", str(other / "server-key.pem")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "does not belong to the certificate" in done.stderr
    assert "Traceback" not in done.stderr
    alone = subprocess.run(words, capture_output=True, text=True, check=False)
    assert alone.returncode == 2
    assert "go together" in alone.stderr
