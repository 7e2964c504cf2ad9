"""`manage.py demo` on the real site: loading, printing, serving."""

import io
import os
import re
import shutil
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pypdf
import pytest
from django.core.management import call_command
from pytest_django import Settings

from hangar import demo
from hangar.bootstrap.terminal import Stop
from hangar.setups.models import Revision
from tests.bootstrap.conftest import TOP
from tests.patience import PATIENCE_S
from tests.ports import own_port


@pytest.fixture
def data(tmp_path: Path, settings: Settings) -> Path:
    """An empty data folder of this test."""
    settings.HANGAR_DATA = tmp_path
    return tmp_path


def _demo(**options: object) -> str:
    output = io.StringIO()
    call_command("demo", no_serve=True, stdout=output, **options)
    return output.getvalue()


def _files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.django_db
def test_the_demo_prints_the_newest_setup_of_its_showpiece_and_says_who_can_sign_in(data: Path) -> None:
    said = _demo()
    club = demo.load(say=lambda line: None)
    newest = Revision.objects.filter(airframe__slug=club.showpiece).order_by("-number")[0]
    sheet = data / "sheets" / f"{club.showpiece}-{newest.number}.pdf"
    assert f"The sheet of {club.showpiece}, revision {newest.number}, is in {sheet} (" in said
    assert newest.airframe.name in pypdf.PdfReader(sheet).pages[0].extract_text()
    for login in club.logins:
        assert re.search(rf"^  {login.login} +password {re.escape(login.password)}  ", said, re.MULTILINE)


@pytest.mark.django_db
def test_a_second_run_adds_nothing_and_prints_the_same(data: Path) -> None:
    _demo()
    before = _files(data / "sheets")
    count = Revision.objects.count()
    # Else the second run would serve what the first one kept, and print nothing.
    shutil.rmtree(data / "sheets" / "made")
    _demo()
    assert Revision.objects.count() == count
    assert _files(data / "sheets") == before


@pytest.mark.django_db
@pytest.mark.usefixtures("data")
def test_what_the_loader_refuses_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(**_: object) -> None:
        raise demo.DemoError("This hangar holds a club's own data.")

    monkeypatch.setattr(demo, "load", refuse)
    with pytest.raises(Stop, match=r"^This hangar holds a club's own data\.$"):
        _demo()


def test_the_demo_serves_until_it_is_interrupted(tmp_path: Path) -> None:
    with own_port() as port, demo_on(port, tmp_path / "data") as server:
        assert server.stdout is not None
        said = ""
        while "Open http://" not in said and (line := server.stdout.readline()):
            said += line
        assert f"Open http://127.0.0.1:{port}/ (Ctrl-C ends it)." in said, said
        page = urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=PATIENCE_S).read().decode()
        style = re.search(r'href="(/static/[^"]+\.css)"', page)
        assert style is not None, "the page has a style sheet of this site"
        assert urllib.request.urlopen(f"http://127.0.0.1:{port}{style[1]}", timeout=PATIENCE_S).status == 200
        server.send_signal(signal.SIGINT)
        rest, _ = server.communicate(timeout=PATIENCE_S)
    assert (server.returncode, rest) == (0, "\nStopped.\n")


@contextmanager
def demo_on(port: int, data: Path) -> "Iterator[subprocess.Popen[str]]":
    # Started in the background by a shell, we ignore what Ctrl-C sends, and so would a program of ours.
    ours = signal.signal(signal.SIGINT, signal.default_int_handler)
    server = subprocess.Popen(
        [sys.executable, TOP / "manage.py", "demo", "--port", str(port)],
        env={**os.environ, "HANGAR_DATA": str(data), "HANGAR_BOOTSTRAP": "0"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    signal.signal(signal.SIGINT, ours)
    with server:
        try:
            yield server
        finally:
            server.kill()
