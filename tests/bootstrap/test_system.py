"""Libraries and programs of the operating system: found, installed as root on Debian, named elsewhere."""

import os
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from hangar.bootstrap import system
from hangar.bootstrap.terminal import Stop

Machine = Callable[..., Path]


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Machine:
    """Pretend to be a machine: its os-release, its user, an apt-get that notes its calls and ends as told."""

    def pretend(*, release: str, user: int = 0, apt: str = "", lists: bool = True) -> Path:
        calls = tmp_path / "calls"
        (tmp_path / "os-release").write_text(release)
        tool = tmp_path / "bin" / "apt-get"
        tool.parent.mkdir()
        tool.write_text(f'#!/bin/sh\necho "$DEBIAN_FRONTEND" "$@" >> {calls}\n{apt}\n')
        tool.chmod(0o755)
        (tmp_path / "lists").mkdir()
        if lists:
            (tmp_path / "lists" / "main_Packages.lz4").touch()
        monkeypatch.setenv("PATH", f"{tool.parent}:/bin")
        monkeypatch.delenv("HANGAR_CHROMIUM", raising=False)
        monkeypatch.setattr(system, "_OS_RELEASE", tmp_path / "os-release")
        monkeypatch.setattr(system, "_APT_LISTS", tmp_path / "lists")
        monkeypatch.setattr(system, "_CHROMIUM_NAMES", ("chromium-of-this-test",))
        monkeypatch.setattr(os, "geteuid", lambda: user)
        monkeypatch.setattr(sys, "platform", "linux")
        return calls

    return pretend


def _appears_when(condition: Callable[[], bool], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "_opens", lambda name: condition())


DEBIAN = 'NAME="Debian"\nID=debian\n'


def test_this_machine_has_both() -> None:
    # The test command has seen to it before it started pytest.
    system.require_pango()
    system.require_chromium()


def test_root_on_debian_installs_without_a_question(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    calls = machine(release=DEBIAN)
    _appears_when(calls.exists, monkeypatch)
    system.require_pango()
    (call,) = calls.read_text().splitlines()
    assert call.startswith("noninteractive -q ")
    assert "install --yes --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in call
    assert "Installing Pango, which draws the PDF sheets: apt-get install libpango-1.0-0" in capsys.readouterr().out


def test_package_lists_are_fetched_where_there_are_none(machine: Machine, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = machine(release="ID=other\nID_LIKE='ubuntu debian'\n", lists=False)
    _appears_when(lambda: calls.exists() and "install" in calls.read_text(), monkeypatch)
    system.require_pango()
    assert [re.findall("update|install", line)[0] for line in calls.read_text().splitlines()] == ["update", "install"]


def test_old_package_lists_are_fetched_anew(machine: Machine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    updated = tmp_path / "updated"
    calls = machine(release=DEBIAN, apt=f'case "$*" in *update*) touch {updated};; *) test -e {updated};; esac')
    _appears_when(updated.exists, monkeypatch)
    system.require_pango()
    assert [re.findall("update|--yes", line)[0] for line in calls.read_text().splitlines()] == [
        "--yes",
        "update",
        "--yes",
    ]


def test_lists_that_do_not_fit_their_files_are_fetched_once_more(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tries = tmp_path / "tries"
    calls = machine(release=DEBIAN, apt=f'case "$*" in *install*) echo >> {tries}; test $(wc -l < {tries}) = 3;; esac')
    _appears_when(lambda: tries.exists() and len(tries.read_text()) == 3, monkeypatch)
    system.require_pango()
    assert [re.findall("update|--yes", line)[0] for line in calls.read_text().splitlines()] == [
        "--yes", "update", "--yes", "update", "--yes",
    ]  # fmt: skip
    assert "Acquire::Retries=5" in calls.read_text()


def test_a_failed_apt_get_names_its_log(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    machine(release=DEBIAN, apt="echo no such package; exit 100")
    _appears_when(lambda: False, monkeypatch)
    with pytest.raises(Stop, match=r"apt-get could not install libpango-1.0-0 .*: what it said is in /.*") as stopped:
        system.require_pango()
    log = Path(str(stopped.value).rsplit(" ", 1)[1])
    assert "no such package" in log.read_text()
    assert capsys.readouterr().out.splitlines()[-2:] == ["  no such package"] * 2, "where the log cannot be looked at"
    log.unlink()


def test_what_is_installed_and_yet_not_found_is_no_reason_to_install_again(
    machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine(release=DEBIAN)
    _appears_when(lambda: False, monkeypatch)
    with pytest.raises(Stop, match=f"are installed, yet {sys.executable} does not find them: start with another"):
        system.require_pango()


@pytest.mark.parametrize(
    ("release", "user", "command"),
    [
        (DEBIAN, 1000, "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core"),
        ("ID=fedora\n", 0, "sudo dnf install pango dejavu-sans-fonts"),
        ('ID="other"\nID_LIKE="rhel fedora"\n', 0, "sudo dnf install pango dejavu-sans-fonts"),
        ("ID=arch\n", 0, "sudo pacman -S pango ttf-dejavu"),
        ("ID=other\n", 0, "(the packages that Debian calls libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
    ],
)
def test_elsewhere_the_one_command_is_said(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, release: str, user: int, command: str
) -> None:
    calls = machine(release=release, user=user)
    _appears_when(lambda: False, monkeypatch)
    with pytest.raises(Stop) as stopped:
        system.require_pango()
    assert str(stopped.value).startswith(
        f"Missing: Pango, which draws the PDF sheets. Install it and start again: {command}"
    )
    assert not calls.exists()


def test_on_macos_the_command_is_homebrews(machine: Machine, monkeypatch: pytest.MonkeyPatch) -> None:
    machine(release="")
    monkeypatch.setattr(sys, "platform", "darwin")
    _appears_when(lambda: False, monkeypatch)
    with pytest.raises(Stop, match="start again: brew install pango && export DYLD_FALLBACK_LIBRARY_PATH="):
        system.require_pango()


def test_one_missing_library_is_enough_to_miss_pango(monkeypatch: pytest.MonkeyPatch) -> None:
    assert system.pango_is_there()
    opens = system._opens
    monkeypatch.setattr(system, "_opens", lambda name: "pangoft2" not in name and opens(name))
    assert not system.pango_is_there()


def test_chromium_is_installed_too(machine: Machine, tmp_path: Path) -> None:
    browser = tmp_path / "bin" / "chromium-of-this-test"
    calls = machine(release=DEBIAN, apt=f"cp /bin/sh {browser}")
    system.require_chromium()
    assert calls.read_text().rstrip().endswith("install --yes --no-install-recommends chromium")
    assert system.chromium() == str(browser)


def test_so_is_the_program_that_makes_pictures_of_pages(
    machine: Machine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    calls = machine(release=DEBIAN, apt=f"/bin/cp /bin/sh {tmp_path}/bin/pdftoppm")
    monkeypatch.setenv("PATH", f"{tmp_path}/bin")
    system.require_poppler()
    assert calls.read_text().rstrip().endswith("install --yes --no-install-recommends poppler-utils")


def test_the_variable_for_chromium_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANGAR_CHROMIUM", sys.executable)
    assert system.chromium() == sys.executable


def test_a_variable_that_names_no_program_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANGAR_CHROMIUM", "/nowhere/chromium")
    with pytest.raises(Stop, match="HANGAR_CHROMIUM is '/nowhere/chromium', which is no program"):
        system.require_chromium()
