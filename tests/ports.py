"""A port for a server of a test."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def own_port() -> Iterator[int]:
    """A port of this machine that nobody else is given while this lasts.

    It is bound here and not listened on: a server that takes up an old address, as ours do, can still listen on it.
    """
    with socket.socket() as held:
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        held.bind(("127.0.0.1", 0))
        yield held.getsockname()[1]
