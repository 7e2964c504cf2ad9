"""The options of `manage.py demo`, and what can be told about port and data folder before the long work begins."""

import argparse
import errno
import os
import socket
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from hangar.bootstrap.terminal import Stop

HOST = "127.0.0.1"
DEFAULT_PORT = 8000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the demo to `parser`."""
    parser.add_argument("--no-serve", action="store_true", help="stop when the sheet is printed; do not serve the site")
    parser.add_argument(
        "--port", type=_port, default=DEFAULT_PORT, metavar="N", help=f"serve on this port (default {DEFAULT_PORT})"
    )


def check_early(arguments: Sequence[str]) -> None:
    """Find out in the first second what would otherwise fail after the last.

    Args:
        arguments: what follows `demo` on the command line; options of others are left alone.

    Raises:
        Stop: a port that is none or is in use.
    """
    parser = _QuietParser(add_help=False)
    add_arguments(parser)
    options, _ = parser.parse_known_args(arguments)
    if not options.no_serve:
        require_free_port(options.port)


def data_folder(top: Path) -> Path:
    """Where the site keeps its data: HANGAR_DATA, else .hangar in the checkout."""
    return Path(os.environ.get("HANGAR_DATA") or top / ".hangar").absolute()


def require_free_port(port: int) -> None:
    """Check that `port` can be served on.

    Raises:
        Stop: it cannot, with the reason and the option that names another one.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        # As the server itself does: a port that is only cooling down after an earlier run counts as free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise Stop(port_refused(port, error)) from error


def port_refused(port: int, error: OSError) -> str:
    """One line on why `port` cannot be served on."""
    reason = "is in use" if error.errno == errno.EADDRINUSE else f"cannot be used ({error.strerror})"
    other = port + 1 if DEFAULT_PORT <= port < 65535 else DEFAULT_PORT
    return f"Port {port} {reason}: choose another one, for example: python3 manage.py demo --port {other}"


def require_writable(folder: Path) -> None:
    """Make the data folder if it is not there, and write in it.

    Raises:
        Stop: it cannot be made or written.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise Stop(
            f"Cannot write in the data folder {folder} ({error.strerror}): make it writable for you, or name another "
            "folder in the environment variable HANGAR_DATA."
        ) from error


class _QuietParser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage lines around it."""

    def error(self, message: str) -> NoReturn:
        raise Stop(message)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port: give a whole number from 1 to 65535")
    return int(text)
