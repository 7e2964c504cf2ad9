"""Making, keeping and entering .venv."""

import fcntl
import os
import subprocess
import sys
import time
import venv
from pathlib import Path

import pytest

from hangar.bootstrap import environment as module
from hangar.bootstrap import locks
from hangar.bootstrap.environment import Environment
from hangar.bootstrap.install import ensure
from hangar.bootstrap.terminal import Stop
from tests.bootstrap.conftest import LOCK, Checkout, one_line
from tests.patience import PATIENCE_S


def test_the_first_start_installs_and_then_runs_the_command_inside(checkout: Checkout) -> None:
    ended = checkout.start("check", "--deploy")
    assert (ended.returncode, ended.stderr) == (0, "")
    begin, end, django = ended.stdout.splitlines()
    assert begin == "Installing 2 packages for the site: a minute or two, only this once."
    assert end.startswith("Installed 2 packages for the site (")
    assert django == f"django check --deploy in {checkout.venv}"
    (call,) = checkout.pip_calls()
    assert call.startswith("install --require-hashes ")
    assert call.endswith(f"--requirement {checkout.top}/hangar/bootstrap/requirements.txt")


def test_a_second_start_says_nothing_and_installs_nothing(checkout: Checkout) -> None:
    checkout.start("check")
    ended = checkout.start("check")
    assert ended.stdout == f"django check in {checkout.venv}\n"
    assert len(checkout.pip_calls()) == 1


def test_a_changed_lock_is_installed(checkout: Checkout) -> None:
    checkout.start("check")
    (checkout.top / "hangar/bootstrap/requirements.txt").write_text(LOCK.replace("1.0", "1.1"))
    checkout.start("check")
    assert len(checkout.pip_calls()) == 2


def test_another_python_enters_a_good_environment_at_once(checkout: Checkout) -> None:
    checkout.start("check")
    base = str(Path(sys.base_prefix) / "bin" / f"python3.{sys.version_info[1]}")
    ended = checkout.start("check", python=base)
    assert ended.stdout == f"django check in {checkout.venv}\n"
    ended = checkout.start("check", python=str(checkout.venv / "bin" / "python"))
    assert ended.stdout == f"django check in {checkout.venv}\n"
    assert len(checkout.pip_calls()) == 1


def test_children_do_not_inherit_the_mark_of_entering(checkout: Checkout) -> None:
    checkout.add_package(
        "django/core/management",
        "__init__.py",
        "import os\ndef execute_from_command_line(argv): print([k for k in os.environ if 'BOOTSTRAP' in k])\n",
    )
    assert checkout.start("check").stdout.splitlines()[-1] == "[]"


def test_a_failed_installation_is_tried_again(checkout: Checkout) -> None:
    failed = checkout.start("check", FAKE_PIP="1", FAKE_PIP_SAYS="ERROR: something of its own")
    assert "the reason is in" in one_line(failed)
    assert failed.stdout.splitlines()[-1] == "  ERROR: something of its own", "where the log cannot be looked at"
    assert str(checkout.venv / "hangar-install.log") in one_line(failed)
    assert checkout.start("check").returncode == 0
    assert len(checkout.pip_calls()) == 2


def test_packages_that_were_cut_off_are_asked_for_again(checkout: Checkout) -> None:
    """pip itself asks again only where nothing comes at all."""
    lost = "Downloading alpha-1.0-py3-none-any.whl\nReadTimeoutError: Read timed out."
    line = one_line(checkout.start("check", FAKE_PIP="1", FAKE_PIP_SAYS=lost))
    assert "the package index could not be reached" in line
    assert len(checkout.pip_calls()) == 3


def test_a_damaged_environment_is_not_entered_for_ever(checkout: Checkout) -> None:
    checkout.start("check")
    (checkout.venv / "pyvenv.cfg").unlink()
    assert one_line(checkout.start("check")) == f"{checkout.venv} is damaged: delete that folder and start again."


def _start_in_background(checkout: Checkout) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, checkout.top / "manage.py", "check"],
        env=checkout.environment(),
        stdout=subprocess.PIPE,
        text=True,
    )


def _waits(process: "subprocess.Popen[str]") -> bool:
    assert process.stdout is not None
    assert process.stdout.readline() == "Another start is installing here: waiting until it has finished.\n"
    with pytest.raises(subprocess.TimeoutExpired):
        process.wait(timeout=1)
    return True


def test_a_second_start_waits_for_the_first(checkout: Checkout) -> None:
    with (checkout.top / ".venv.lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        second = _start_in_background(checkout)
        assert _waits(second)
        assert checkout.pip_calls() == []
        fcntl.flock(held, fcntl.LOCK_UN)
        rest, _ = second.communicate(timeout=PATIENCE_S)
    assert rest.splitlines()[-1] == f"django check in {checkout.venv}"


def test_a_second_start_waits_for_a_pip_whose_start_was_killed(checkout: Checkout, tmp_path: Path) -> None:
    begun, done = tmp_path / "begun", tmp_path / "done"
    slow = (
        "import pathlib, time\n"
        f"pathlib.Path({str(begun)!r}).touch()\n"
        f"while not pathlib.Path({str(done)!r}).exists(): time.sleep(0.02)\n"
    )
    checkout.add_package("pip", "__main__.py", slow)
    first = _start_in_background(checkout)
    try:
        while not begun.exists():
            assert first.poll() is None
            time.sleep(0.02)
        first.kill()
        first.communicate(timeout=PATIENCE_S)
        second = _start_in_background(checkout)
        assert _waits(second)
    finally:
        done.touch()
    rest, _ = second.communicate(timeout=PATIENCE_S)
    assert rest.splitlines()[-1] == f"django check in {checkout.venv}"


def test_a_checkout_that_cannot_be_written_is_named(checkout: Checkout) -> None:
    (checkout.top / ".venv.lock").mkdir()
    line = one_line(checkout.start("check"))
    assert line.startswith(f"Cannot write in {checkout.top} (")


def test_a_python_without_ensurepip_is_told_what_to_install(bare_checkout: Checkout, tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text(
        "import importlib.util as util\n"
        "found = util.find_spec\n"
        "util.find_spec = lambda name, package=None: None if name == 'ensurepip' else found(name, package)\n"
    )
    line = one_line(bare_checkout.start("demo", "--no-serve", PYTHONPATH=str(tmp_path)))
    assert "has no module ensurepip" in line
    assert f"apt-get install python3.{sys.version_info[1]}-venv" in line
    assert not bare_checkout.venv.exists()


def test_with_bootstrap_switched_off_nothing_is_made(bare_checkout: Checkout, tmp_path: Path) -> None:
    venv.EnvBuilder(symlinks=True, with_pip=False).create(tmp_path / "empty")
    python = str(tmp_path / "empty" / "bin" / "python")
    line = one_line(bare_checkout.start("check", python=python, HANGAR_BOOTSTRAP="0"))
    assert line == (
        "django not installed, and HANGAR_BOOTSTRAP=0 keeps this command from installing: "
        f"{python} -m pip install --require-hashes -r hangar/bootstrap/requirements.txt"
    )
    assert not bare_checkout.venv.exists()


def test_with_bootstrap_switched_off_the_running_python_is_used_as_it_is(checkout: Checkout) -> None:
    ended = checkout.start("check", python=str(checkout.venv / "bin" / "python"), HANGAR_BOOTSTRAP="0")
    assert ended.stdout == f"django check in {checkout.venv}\n"
    assert checkout.pip_calls() == []


class Remade(Exception):
    """Raised in place of making an environment."""


@pytest.fixture
def remaking(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Environment) -> None:
        raise Remade

    monkeypatch.setattr(module.Environment, "_make", refuse)


@pytest.mark.usefixtures("remaking")
def test_an_installation_that_was_cut_off_makes_the_environment_anew(checkout: Checkout) -> None:
    checkout.start("check")
    environment = Environment(checkout.top)
    lock = locks.running(checkout.top)
    assert environment.lacks([lock]) == []
    environment.installing.touch()
    with pytest.raises(Remade):
        ensure(environment, [lock], top=checkout.top)


@pytest.mark.usefixtures("remaking")
@pytest.mark.parametrize("damage", ["no pip", "no python", "foreign python"])
def test_an_environment_that_does_not_work_is_made_anew(checkout: Checkout, damage: str) -> None:
    environment = Environment(checkout.top)
    if damage == "no pip":
        (checkout.packages / "pip" / "__init__.py").write_text("raise ImportError")
    else:
        environment.python.unlink()
    if damage == "foreign python":
        os.symlink(sys.executable, environment.python)
        (checkout.venv / "pyvenv.cfg").unlink()
    with pytest.raises(Remade):
        ensure(environment, [locks.running(checkout.top)], top=checkout.top)


def test_an_environment_made_by_hand_is_kept(checkout: Checkout) -> None:
    (checkout.venv / "mine").touch()
    checkout.start("check")
    assert (checkout.venv / "mine").exists()


@pytest.mark.usefixtures("remaking")
def test_a_stamp_for_another_python_does_not_count_inside(checkout: Checkout, monkeypatch: pytest.MonkeyPatch) -> None:
    checkout.start("check")
    environment = Environment(checkout.top)
    lock = locks.running(checkout.top)
    monkeypatch.setattr(Environment, "is_running", lambda self: True)
    assert environment.lacks([lock]) == []
    monkeypatch.setattr(module, "_version_here", lambda: "3.99")
    assert environment.lacks([lock]) == [lock]


def test_a_real_environment_has_pip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[dict[str, object]] = []

    class Recorder:
        def __init__(self, **options: object) -> None:
            asked.append(options)

        def create(self, folder: Path) -> None:
            asked.append({"folder": folder})

    monkeypatch.setattr(venv, "EnvBuilder", Recorder)
    Environment(tmp_path).make_usable()
    assert asked == [{"clear": True, "symlinks": True, "with_pip": True}, {"folder": tmp_path / ".venv"}]


def test_a_folder_in_which_no_environment_can_be_made_is_named(checkout: Checkout, bare_checkout: Checkout) -> None:
    environment = Environment(checkout.top)
    environment.folder = checkout.top / "manage.py" / ".venv"
    environment.installing = environment.folder / "hangar-installing"
    environment.python = environment.folder / "bin" / "python"
    with pytest.raises(Stop, match=r"Cannot make .*/manage\.py/\.venv \(Not a directory\): check that"):
        environment.make_usable()
