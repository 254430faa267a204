"""https in front of waitress, which has none: decrypted in a thread of its own, inside the process.

Each connection is handed to waitress as one end of a socket pair, with the client's true address.
No second port is open on which somebody could pass by, and no header has to be believed.
"""

import asyncio
import contextlib
import socket
import ssl
import threading
from collections import Counter
from collections.abc import Callable
from typing import Any

MOST, MOST_OF_ONE = 250, 60
"""Connections at once, and of one address; further ones wait, or are closed."""
HANDSHAKE_S = 15.0
"""How long a client may take to agree on a key; only its own connection waits."""
FLUSH_S = 30.0
"""How long a slow client may take for the rest of an answer."""
CHUNK = 64 * 1024

type HandOver = Callable[[socket.socket, Any], None]


class TlsFront:
    """Takes https connections from a listening socket until closed.

    Parameters
    ----------
    listener
        A bound, listening TCP socket; the front closes it.
    context
        Certificate, key and rules of TLS.
    hand_over
        Takes a socket that speaks plain HTTP, and the client's address.
    """

    def __init__(
        self, listener: socket.socket, context: ssl.SSLContext, hand_over: HandOver
    ) -> None:
        self._listener, self._context, self._hand_over = listener, context, hand_over
        self._of: Counter[str] = Counter()
        self._open: set[asyncio.Task[None]] = set()
        self._agreeing: set[asyncio.Task[None]] = set()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="https", daemon=True)

    def start(self) -> None:
        """Begin to take connections."""
        self._listener.setblocking(False)
        self._thread.start()

    def take_no_more(self) -> None:
        """Take no new connections; those that are open go on."""
        self._loop.call_soon_threadsafe(self._accepting.cancel)

    def close(self, patience_s: float) -> None:
        """End when what is open has ended, at the latest after ``patience_s``."""
        self.take_no_more()
        self._loop.call_soon_threadsafe(self._end_after, patience_s)
        self._thread.join(patience_s + 1)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._accepting = self._loop.create_task(self._accept())
        self._ended = self._loop.create_future()
        self._loop.run_until_complete(self._ended)
        self._loop.close()

    def _end_after(self, patience_s: float) -> None:
        self._ending = self._loop.create_task(self._end(patience_s))

    async def _end(self, patience_s: float) -> None:
        for one in self._agreeing:
            one.cancel()  # they have asked for nothing yet
        if self._open:
            await asyncio.wait(self._open, timeout=patience_s)
        for one in (left := set(self._open)):
            one.cancel()
        if left:
            await asyncio.wait(left)
        self._ended.set_result(None)

    async def _accept(self) -> None:
        room = asyncio.Semaphore(MOST)

        def ended(task: asyncio.Task[None]) -> None:
            self._open.discard(task)
            self._agreeing.discard(task)
            room.release()

        with contextlib.closing(self._listener):
            while True:
                await room.acquire()
                try:
                    client, address = await self._loop.sock_accept(self._listener)
                except OSError:  # gone before it was taken, or no file handle left just now
                    room.release()
                    await asyncio.sleep(0.1)
                    continue
                task = self._loop.create_task(self._serve(client, address))
                self._open.add(task)
                self._agreeing.add(task)
                task.add_done_callback(ended)

    async def _serve(self, client: socket.socket, address: Any) -> None:  # noqa: ANN401 - as accept() gives it
        host = address[0]
        if self._of[host] >= MOST_OF_ONE:
            client.close()
            return
        self._of[host] += 1
        try:
            with contextlib.suppress(OSError):  # ssl.SSLError, resets and time-outs are such too
                await self._relay(client, address)
        finally:
            self._of -= Counter([host])  # drops the name when nothing is left
            client.close()

    async def _relay(self, client: socket.socket, address: Any) -> None:  # noqa: ANN401
        outer = asyncio.StreamReader(limit=CHUNK)
        protocol = asyncio.StreamReaderProtocol(outer)
        transport, _ = await self._loop.connect_accepted_socket(
            lambda: protocol,
            client,
            ssl=self._context,
            ssl_handshake_timeout=HANDSHAKE_S,
            ssl_shutdown_timeout=FLUSH_S,
        )
        self._agreeing.difference_update([asyncio.current_task()])
        to_client = asyncio.StreamWriter(transport, protocol, outer, self._loop)
        ours, theirs = socket.socketpair()
        try:
            inner, to_server = await asyncio.open_connection(sock=ours, limit=CHUNK)
            self._hand_over(theirs, address)
            both = [
                asyncio.ensure_future(_pump(outer, to_server)),
                asyncio.ensure_future(_pump(inner, to_client)),
            ]
            try:
                await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
            finally:
                for one in both:
                    one.cancel()
                await asyncio.gather(*both, return_exceptions=True)
                to_server.close()
            await _flushed(to_client)
        finally:
            transport.abort()


async def _pump(source: asyncio.StreamReader, sink: asyncio.StreamWriter) -> None:
    """Carry bytes over, no faster than they are taken."""
    while data := await source.read(CHUNK):
        sink.write(data)
        await sink.drain()


async def _flushed(sink: asyncio.StreamWriter) -> None:
    sink.close()
    async with asyncio.timeout(FLUSH_S):
        await sink.wait_closed()
