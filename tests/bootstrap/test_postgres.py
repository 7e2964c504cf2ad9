"""The PostgreSQL server of the tests: found, started in a folder of its own, stopped; and what is said without one."""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from hangar.bootstrap import check, postgres, system
from hangar.bootstrap.terminal import Stop
from tests.bootstrap.conftest import SPEAKER, Checkout
from tests.bootstrap.test_check import TWO

# Notes its own name and how it was called, makes what initdb makes, and ends as it is told.
PROGRAM = '#!/bin/sh\necho "$(basename $0) $@" >> {calls}\nmkdir -p "$2"\necho said by $(basename $0)\n{ending}\n'


@pytest.fixture
def place() -> Iterator[Path]:
    """A folder that everyone may enter: as root, the programs run as another user."""
    with tempfile.TemporaryDirectory(prefix="hangar-test-") as made:
        os.chmod(made, 0o777)
        yield Path(made)


def programs(place: Path, ending: str = "") -> Path:
    folder = place / "15" / "bin"
    folder.mkdir(parents=True)
    for name in ("initdb", "pg_ctl", "postgres"):
        (folder / name).write_text(PROGRAM.format(calls=place / "calls", ending=ending))
        (folder / name).chmod(0o755)
    (place / "calls").touch()
    (place / "calls").chmod(0o666)
    return folder


def test_the_search_path_comes_first_then_the_newest_of_debian(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = programs(place)
    shutil.copytree(place / "15", place / "9")
    (place / "common" / "bin").mkdir(parents=True)
    monkeypatch.setenv("PATH", "/nowhere")
    monkeypatch.setattr(postgres, "_DEBIAN", place)
    assert postgres.programs() == folder
    (folder / "pg_ctl").unlink()
    assert postgres.programs() == place / "9" / "bin"
    monkeypatch.setattr(postgres, "_DEBIAN", place / "nothing")
    assert postgres.programs() is None
    monkeypatch.setenv("PATH", str(place / "9" / "bin"))
    assert postgres.programs() == place / "9" / "bin"


def test_it_is_made_started_stopped_and_gone(place: Path) -> None:
    with postgres.server(programs(place)) as address:
        folder = Path(address.removeprefix("postgres://postgres@").removesuffix("/postgres").replace("%2F", "/"))
        assert folder.is_dir()
        assert folder.stat().st_mode & 0o777 == 0o700
    calls = (place / "calls").read_text().splitlines()
    assert [call.split()[0] for call in calls] == ["initdb", "pg_ctl", "pg_ctl"]
    assert f"unix_socket_directories={folder} start" in calls[1]
    assert calls[2].endswith("immediate stop")
    assert not folder.exists()


def test_a_failed_start_tells_what_was_said(place: Path) -> None:
    with pytest.raises(Stop, match="initdb failed: said by initdb"), postgres.server(programs(place, "exit 3")):
        pass


def test_a_test_that_fails_still_stops_it(place: Path) -> None:
    with pytest.raises(KeyboardInterrupt), postgres.server(programs(place)):
        raise KeyboardInterrupt
    assert (place / "calls").read_text().splitlines()[-1].endswith("immediate stop")


@pytest.fixture
def nothing_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A machine without PostgreSQL, whose user may install nothing."""
    monkeypatch.setattr(postgres, "programs", lambda: None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(system, "_OS_RELEASE", tmp_path / "os-release")
    (tmp_path / "os-release").write_text("ID=debian\n")


@pytest.mark.usefixtures("nothing_there")
def test_without_it_that_is_said_with_the_command_that_installs_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("HANGAR_POSTGRESQL", raising=False)
    check.prepare_databases([])
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("NOT TESTED on PostgreSQL, only on SQLite. Missing: PostgreSQL")
    assert line.endswith("sudo apt-get install postgresql")
    monkeypatch.setenv("HANGAR_POSTGRESQL", "required")
    with pytest.raises(Stop, match="Missing: PostgreSQL"):
        check.prepare_databases([])
    check.prepare_databases(["-k", "one"])
    monkeypatch.setenv("HANGAR_POSTGRESQL", "skip")
    check.prepare_databases([])
    assert capsys.readouterr().out == ""


@pytest.fixture
def tools(checkout: Checkout, place: Path) -> Checkout:
    """A checkout whose checks only say that they ran, and whose pytest says on what; a PostgreSQL of its own."""
    folder = programs(place)
    pytest_there = SPEAKER.format(name="pytest").replace("print(", "print(os.environ.get('DATABASE_URL'), ")
    for name in ("ruff", "mypy"):
        checkout.add_package(name, "__main__.py", SPEAKER.format(name=name))
    checkout.add_package("pytest", "__main__.py", pytest_there)
    arrows = checkout.venv / "bin" / "lint-imports"
    arrows.write_text("#!/bin/sh\n")
    arrows.chmod(0o755)
    checkout.variables = {"HANGAR_CHROMIUM": sys.executable, "PATH": f"{folder}:{os.environ['PATH']}"}
    return checkout


def test_the_database_tests_come_before_the_whole_suite(tools: Checkout) -> None:
    lines = tools.start("test").stdout.splitlines()
    assert any(line.startswith("ok     tests on PostgreSQL") for line in lines[:-2])
    assert lines[-1] == f"None pytest {TWO}"


def test_their_failure_is_told_and_fails_the_run(tools: Checkout) -> None:
    ended = tools.start("test", FAKE_PYTEST="1")
    lines = ended.stdout.splitlines()
    assert ended.returncode == 1
    told = next(line for line in lines if "postgres://postgres@%2F" in line)
    assert told.endswith(f"pytest -q {TWO} -m database -k not does_not_grow tests/hangar")
    assert "FAILED before the tests: PostgreSQL (see above)." in lines[-3]


def test_tests_asked_for_by_name_run_once(tools: Checkout) -> None:
    assert "PostgreSQL" not in tools.start("test", "-k", "foo").stdout
