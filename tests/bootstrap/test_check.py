"""`manage.py test`: every check runs, pytest closes the output, one failure fails the whole."""

import sys
from pathlib import Path

import pytest

from tests.bootstrap.conftest import SPEAKER, Checkout, one_line

TWO = "-n 2 --dist loadfile --no-loadscope-reorder"
CHECKS = ["lint", "layout of the code", "types", "import arrows", "migrations"]


@pytest.fixture
def tools(checkout: Checkout) -> Checkout:
    """A checkout whose tools only say that they ran."""
    for name in ("ruff", "mypy", "pytest"):
        checkout.add_package(name, "__main__.py", SPEAKER.format(name=name))
    arrows = checkout.venv / "bin" / "lint-imports"
    arrows.write_text(f"#!{checkout.venv}/bin/python\n" + SPEAKER.format(name="lint-imports").replace("\n    ", "\n"))
    arrows.chmod(0o755)
    checkout.variables = {"HANGAR_CHROMIUM": sys.executable, "HANGAR_POSTGRESQL": "skip"}
    return checkout


def test_all_steps_run_and_pytest_closes(tools: Checkout) -> None:
    ended = tools.start("test", "-k", "foo", "--maxfail=1")
    assert ended.returncode == 0, ended.stdout + ended.stderr
    lines = ended.stdout.splitlines()
    # Two run at a time; each is told when it ends.
    assert sorted(line[7:].rpartition(" (")[0] for line in lines if line.startswith("ok ")) == sorted(CHECKS)
    assert lines[-2:] == ["Running the tests: pytest -k foo --maxfail=1", "pytest -k foo --maxfail=1"]


def test_both_locks_are_installed_first(tools: Checkout) -> None:
    tools.start("test")
    first, second = tools.pip_calls()
    assert first.endswith("/requirements.txt")
    assert second.endswith("/requirements-test.txt")
    tools.start("test")
    assert len(tools.pip_calls()) == 2


def test_a_failed_check_fails_the_run_but_not_the_closing_line(tools: Checkout) -> None:
    ended = tools.start("test", FAKE_MYPY="2", FAKE_LINT_IMPORTS="1")
    assert ended.returncode == 1
    lines = ended.stdout.splitlines()
    for title, said in (("types", "mypy"), ("import arrows", "lint-imports --no-cache")):
        (place,) = [place for place, line in enumerate(lines) if line.startswith(f"FAILED {title} (")]
        assert lines[place + 1] == said, "what the check said is shown below it"
    summary = "FAILED before the tests: types, import arrows (see above). This run fails even if every test passes."
    assert lines[-3:] == [summary, f"Running the tests: pytest {TWO}", f"pytest {TWO}"]


@pytest.mark.parametrize("status", [1, 2, 5])
def test_pytests_own_status_is_passed_on(tools: Checkout, status: int) -> None:
    assert tools.start("test", FAKE_PYTEST=str(status)).returncode == status


def test_the_tests_do_not_see_the_clubs_data(tools: Checkout, tmp_path: Path) -> None:
    tools.add_package("pytest", "__main__.py", "import os\nprint(os.environ['HANGAR_DATA'])\n")
    folder = Path(tools.start("test", HANGAR_DATA=str(tmp_path / "club")).stdout.splitlines()[-1])
    assert folder.name.startswith("hangar-test-")
    assert not folder.exists()
    assert not (tmp_path / "club").exists()
    assert not (tools.top / ".hangar").exists()


def test_a_missing_browser_is_told_before_anything_is_installed(tools: Checkout) -> None:
    line = one_line(tools.start("test", HANGAR_CHROMIUM="/nowhere"))
    assert line.startswith("HANGAR_CHROMIUM is '/nowhere', which is no program")
    assert tools.pip_calls() == []
