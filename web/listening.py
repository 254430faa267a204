"""waitress with an end of our own, which lets requests finish, and with https if asked for."""

import signal
import socket
import ssl
import time
from collections.abc import Callable
from types import FrameType
from typing import TYPE_CHECKING, Any

from web.tls_front import TlsFront

if TYPE_CHECKING:
    from flask import Flask

LOOK_S = 1.0
"""The longest time between two looks at what is to be done; requests wake the server at once."""
PATIENCE_S = 5.0
"""How long requests that have begun may go on after the server was told to stop."""


class Listening:
    """waitress on a port of its own.

    Raises
    ------
    OSError
        If the port is not free.
    """

    def __init__(self, app: "Flask", *, host: str, port: int, threads: int, **more: Any) -> None:  # noqa: ANN401 - waitress's own settings
        from waitress import create_server, wasyncore

        self._asyncore, self._told = wasyncore, False
        self._map: dict[int, Any] = {}
        self._server = create_server(
            app, map=self._map, host=host, port=port, threads=threads, ident="riserway", **more
        )
        self._servers = [one for one in self._map.values() if hasattr(one, "active_channels")]

    @property
    def port(self) -> int:
        """Return the port that clients come to."""
        return int(self._servers[0].effective_port)

    def run(self) -> None:
        """Serve until told by SIGINT or SIGTERM; then let what has begun finish, and end."""
        for one in (signal.SIGINT, signal.SIGTERM):
            signal.signal(one, self._tell)
        self._loop_until(lambda: self._told)
        self.take_no_more()
        give_up = time.monotonic() + PATIENCE_S
        self._loop_until(lambda: not self._is_busy() or time.monotonic() > give_up)

    def take_no_more(self) -> None:
        """Take no new connections."""
        for one in self._servers:
            self._asyncore.dispatcher.close(one)  # the listening socket alone

    def close(self) -> None:
        """End all threads and connections."""
        self._server.task_dispatcher.shutdown()
        self._asyncore.close_all(self._map, ignore_all=True)

    def _loop_until(self, is_over: Callable[[], bool]) -> None:
        while not is_over():
            self._asyncore.loop(timeout=LOOK_S, use_poll=True, map=self._map, count=1)

    def _is_busy(self) -> bool:
        """Tell whether a request is being received, worked on or answered."""
        return any(
            one.request or one.requests or one.total_outbufs_len
            for server in self._servers
            for one in list(server.active_channels.values())
        )

    def _tell(self, number: int, frame: FrameType | None) -> None:  # noqa: ARG002 - a handler's arguments
        if self._told:
            raise KeyboardInterrupt  # told twice: at once
        self._told = True
        self._servers[0].pull_trigger()


class ListeningByHttps(Listening):
    """waitress without a port, behind the TLS front, which has it."""

    def __init__(
        self, app: "Flask", *, host: str, port: int, threads: int, context: ssl.SSLContext
    ) -> None:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        self._listener = socket.create_server((host, port), family=family, backlog=128)
        super().__init__(
            app, host="127.0.0.1", port=0, threads=threads, url_scheme="https", _start=False
        )
        self._front = TlsFront(self._listener, context, self._take)
        self._port = int(self._listener.getsockname()[1])

    @property
    def port(self) -> int:
        """Return the port that clients come to."""
        return self._port

    def run(self) -> None:
        """Serve until told to stop, as the plain one does."""
        self._front.start()
        super().run()

    def take_no_more(self) -> None:
        """Take no new connections."""
        self._front.take_no_more()
        super().take_no_more()

    def close(self) -> None:
        """End all threads and connections."""
        super().close()
        self._front.close(PATIENCE_S)

    def _take(self, connection: socket.socket, address: Any) -> None:  # noqa: ANN401 - as accept() gives it
        """Let waitress's own thread take a connection over, as if it had accepted it."""
        (server,) = self._servers
        server.trigger.pull_trigger(
            lambda: server.channel_class(server, connection, address, server.adj, map=self._map)
        )
