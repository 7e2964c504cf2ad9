"""What `manage.py demo` finds out before it begins."""

import errno
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from hangar.bootstrap.demo_options import port_refused, require_free_port
from hangar.bootstrap.terminal import Stop
from tests.bootstrap.conftest import Checkout, one_line


@pytest.fixture
def taken_port() -> Iterator[int]:
    """A port of this machine on which something listens already."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


def test_a_port_in_use_is_told_before_anything_is_installed(checkout: Checkout, taken_port: int) -> None:
    line = one_line(checkout.start("demo", "--port", str(taken_port)))
    assert line.startswith(
        f"Port {taken_port} is in use: choose another one, for example: python3 manage.py demo --port"
    )
    assert checkout.pip_calls() == []


def test_without_serving_the_port_does_not_matter(checkout: Checkout, taken_port: int) -> None:
    ended = checkout.start("demo", "--no-serve", f"--port={taken_port}")
    assert ended.returncode == 0
    assert ended.stdout.splitlines()[-1] == f"django demo --no-serve --port={taken_port} in {checkout.venv}"


@pytest.mark.parametrize("port", ["0", "65536", "eight", "-1", "8000.0", "²"])
def test_a_port_that_is_none_is_refused_at_once(checkout: Checkout, port: str) -> None:
    line = one_line(checkout.start("demo", f"--port={port}"))
    assert line == f"argument --port: {port!r} is no port: give a whole number from 1 to 65535"
    assert checkout.pip_calls() == []


def test_a_port_that_was_just_given_back_is_free() -> None:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        with pytest.raises(Stop, match=f"Port {port} is in use"):
            require_free_port(port)
    require_free_port(port)


@pytest.mark.parametrize(("port", "other"), [(8000, 8001), (80, 8000), (65535, 8000)])
def test_the_suggested_port_is_another_one_that_anybody_may_use(port: int, other: int) -> None:
    assert port_refused(port, OSError(errno.EACCES, "Permission denied")) == (
        f"Port {port} cannot be used (Permission denied): choose another one, for example: "
        f"python3 manage.py demo --port {other}"
    )


def test_a_data_folder_that_cannot_be_made_is_named(checkout: Checkout, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    folder = tmp_path / "file" / "data"
    line = one_line(checkout.start("demo", "--no-serve", HANGAR_DATA=str(folder)))
    assert line == (
        f"Cannot write in the data folder {folder} (Not a directory): make it writable for you, or name another folder "
        "in the environment variable HANGAR_DATA."
    )
    assert checkout.pip_calls() == []


@pytest.mark.parametrize("command", ["migrate", "runserver"])
def test_every_command_that_needs_the_data_folder_looks_at_it(checkout: Checkout, command: str) -> None:
    assert "Cannot write in the data folder" in one_line(checkout.start(command, HANGAR_DATA="/proc/nothing"))


def test_the_data_folder_is_made_for_its_owner_only(checkout: Checkout) -> None:
    checkout.start("demo", "--no-serve")
    assert (checkout.top / ".hangar").stat().st_mode & 0o777 == 0o700
