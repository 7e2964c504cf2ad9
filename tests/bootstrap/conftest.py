"""A small checkout of its own for each test: the real start, a real .venv, and packages that only say that they ran."""

import os
import shutil
import subprocess
import sys
import textwrap
import venv
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.patience import PATIENCE_S

TOP = Path(__file__).resolve().parents[2]
LOCK = "alpha==1.0 \\\n    --hash=sha256:00\nbeta==2.0 \\\n    --hash=sha256:00\n"
TEST_LOCK = "gamma==3.0 \\\n    --hash=sha256:00\n"

# Says what it was asked for, and ends as the variable FAKE_<NAME> wants it.
SPEAKER = """
    import os, sys
    name = {name!r}
    print(name, *sys.argv[1:])
    sys.exit(int(os.environ.get("FAKE_" + name.upper().replace("-", "_"), "0")))
"""
PIP = """
    import os, pathlib, sys
    calls = pathlib.Path(sys.prefix, "pip-calls")
    calls.write_text((calls.read_text() if calls.exists() else "") + " ".join(sys.argv[1:]) + "\\n")
    print(os.environ.get("FAKE_PIP_SAYS", "Successfully installed alpha-1.0 beta-2.0"))
    sys.exit(int(os.environ.get("FAKE_PIP", "0")))
"""
MANAGEMENT = """
    import sys
    def execute_from_command_line(argv):
        print("django", *argv[1:], "in", sys.prefix)
"""


@dataclass
class Checkout:
    """A folder with manage.py, hangar/bootstrap and, once `make_venv` was called, a .venv."""

    top: Path
    variables: dict[str, str] = field(default_factory=dict)

    @property
    def venv(self) -> Path:
        return self.top / ".venv"

    @property
    def packages(self) -> Path:
        return next((self.venv / "lib").glob("python3.*/site-packages"))

    def make_venv(self, **modules: str) -> None:
        """A .venv without anything installed but `modules`: package name -> what `python -m name` runs."""
        venv.EnvBuilder(symlinks=True, with_pip=False).create(self.venv)
        for name, source in modules.items():
            self.add_package(name, "__main__.py", source)

    def add_package(self, name: str, file: str, source: str) -> None:
        folder = self.packages / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "__init__.py").touch()
        (folder / file).write_text(textwrap.dedent(source))

    def add_django(self) -> None:
        self.add_package("django", "__init__.py", "")
        self.add_package("django/core", "__init__.py", "")
        self.add_package("django/core/management", "__init__.py", MANAGEMENT)

    def environment(self, **variables: str) -> dict[str, str]:
        """The machine's variables without those that steer Python, pip or this project."""
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "PIP_", "HANGAR_", "DJANGO_"))}
        return {**kept, "PIP_CONFIG_FILE": os.devnull, **self.variables, **variables}

    def start(
        self, *arguments: str, python: str = sys.executable, **variables: str
    ) -> "subprocess.CompletedProcess[str]":
        """Run manage.py with `arguments` from another folder, as a person might."""
        return subprocess.run(
            [python, self.top / "manage.py", *arguments],
            cwd=self.top.parent,
            env=self.environment(**variables),
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )

    def pip_calls(self) -> list[str]:
        """What pip was called with, one line a call."""
        calls = self.venv / "pip-calls"
        return calls.read_text().splitlines() if calls.exists() else []


@pytest.fixture
def bare_checkout(tmp_path: Path) -> Checkout:
    """A checkout as it is right after cloning: no .venv."""
    top = tmp_path / "checkout"
    (top / "hangar").mkdir(parents=True)
    shutil.copy(TOP / "manage.py", top)
    shutil.copy(TOP / "hangar" / "__init__.py", top / "hangar")
    shutil.copytree(TOP / "hangar" / "bootstrap", top / "hangar" / "bootstrap")
    (top / "hangar" / "bootstrap" / "requirements.txt").write_text(LOCK)
    (top / "hangar" / "bootstrap" / "requirements-test.txt").write_text(TEST_LOCK)
    return Checkout(top)


@pytest.fixture
def checkout(bare_checkout: Checkout) -> Checkout:
    """A checkout whose .venv holds a pip that notes its calls and a Django that speaks, both not yet stamped."""
    bare_checkout.make_venv(pip=PIP)
    bare_checkout.add_django()
    return bare_checkout


def one_line(ended: "subprocess.CompletedProcess[str]") -> str:
    """The one line of a start that gave up; anything else on stderr is a failure."""
    assert ended.returncode == 1, (ended.stdout, ended.stderr)
    assert "Traceback" not in ended.stdout + ended.stderr
    assert ended.stderr.endswith("\n")
    assert ended.stderr.count("\n") == 1, ended.stderr
    return ended.stderr.strip()
