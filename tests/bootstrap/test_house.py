"""What holds the checkout together: the locks, the command of the CI, what mixing may import."""

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from hangar.bootstrap import locks, refresh

TOP = Path(__file__).resolve().parents[2]
# Standard library aside, all that the computation may use.
ALLOWED_IN_MIXING = {"mixing", "numpy", "pydantic", "pydantic_core", "rfc8785"}


def _project() -> dict[str, list[str]]:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return {"running": project["dependencies"], "testing": project["optional-dependencies"]["test"]}


def _pins(lock: locks.Lock) -> dict[str, str]:
    found = re.findall(r"^([\w.-]+)(?:\[[\w,-]+\])?==(\S+)", lock.path.read_text(encoding="utf-8"), re.MULTILINE)
    return dict(found)


@pytest.mark.parametrize(("kind", "lock"), [("running", locks.running(TOP)), ("testing", locks.testing(TOP))])
def test_the_locks_pin_every_dependency(kind: str, lock: locks.Lock) -> None:
    wanted = {re.split(r"[\[<>=~! ]", line)[0].lower().replace("_", "-") for line in _project()[kind]}
    assert wanted <= set(_pins(lock))


def test_the_two_locks_agree() -> None:
    site, tests = _pins(locks.running(TOP)), _pins(locks.testing(TOP))
    assert {name: tests.get(name, version) for name, version in site.items()} == site


@pytest.mark.parametrize("lock", [locks.running(TOP), locks.testing(TOP)])
def test_every_pin_has_a_hash_and_no_line_names_a_host(lock: locks.Lock) -> None:
    text = lock.path.read_text(encoding="utf-8")
    blocks = re.split(r"\n(?=[A-Za-z0-9])", text)
    assert len(blocks) == lock.count()
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in text
    assert not re.search(r"^--?[a-z]", text, re.MULTILINE)


def test_refreshing_holds_the_tests_to_the_versions_of_the_site() -> None:
    site, tests = refresh.commands("uv", upgrade=False)
    assert "--generate-hashes" in site
    assert site[-1] == "--output-file=hangar/bootstrap/requirements.txt"
    assert "--constraint=hangar/bootstrap/requirements.txt" in tests
    assert "--extra=test" in tests
    assert "--upgrade" not in site + tests
    assert all("--upgrade" in command for command in refresh.commands("uv", upgrade=True))


def test_refreshing_without_its_tool_says_how_to_get_it() -> None:
    ended = subprocess.run(
        [sys.executable, "-m", "hangar.bootstrap.refresh"],
        cwd=TOP,
        env={"PATH": "/nowhere"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stderr) == (
        1,
        "uv is not installed: python3 -m pip install uv; then start again.\n",
    )


def test_the_ci_runs_the_test_command_from_the_top(tmp_path: Path) -> None:
    fake = tmp_path / "python3"
    fake.write_text('#!/bin/sh\necho "$PWD" "$@" "$HANGAR_POSTGRESQL"\nexit 7\n')
    fake.chmod(0o755)
    ended = subprocess.run(
        ["bash", TOP / ".ci" / "run"],
        cwd=tmp_path,
        env={"PATH": f"{tmp_path}:/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (7, f"{TOP} manage.py test required\n", "")


def test_the_computation_imports_nothing_but_what_it_may() -> None:
    imported = {}
    for path in sorted((TOP / "mixing").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            imported.update({name.partition(".")[0]: path.name for name in names})
    foreign = {name: file for name, file in imported.items() if name not in sys.stdlib_module_names}
    assert "numpy" in foreign, "the search itself finds something"
    assert set(foreign) <= ALLOWED_IN_MIXING, foreign


def test_the_start_needs_the_standard_library_only() -> None:
    code = "import sys, hangar.bootstrap.start as s; print(*{m.partition('.')[0] for m in sys.modules})"
    ended = subprocess.run([sys.executable, "-S", "-c", code], cwd=TOP, capture_output=True, text=True, check=True)
    assert set(ended.stdout.split()) - sys.stdlib_module_names <= {"hangar", "__main__"}
