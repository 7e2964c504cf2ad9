"""`manage.py test`: the checks of the code and then the tests, in one command.

pytest comes last, so that the last line of the output is its own closing line. A check that failed is named before
pytest starts and fails the whole command, whatever pytest finds.

Before the whole suite, the tests of the database run on a PostgreSQL server made for them. HANGAR_POSTGRESQL says what
happens where this machine has none and cannot install it: `required` stops, `skip` does not even look; else it is said.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from hangar.bootstrap import postgres, system
from hangar.bootstrap.terminal import Stop, Stopwatch, say

_SCRIPTS = Path(sys.prefix) / "bin"


@dataclass(frozen=True)
class Step:
    """One check: what it looks for, in a few words, and its command."""

    title: str
    command: tuple[str, ...]


STEPS = (
    Step("lint", (sys.executable, "-m", "ruff", "check", ".")),
    Step("layout of the code", (sys.executable, "-m", "ruff", "format", "--check", ".")),
    Step("types", (sys.executable, "-m", "mypy")),
    Step("import arrows", (str(_SCRIPTS / "lint-imports"), "--no-cache")),
    Step("migrations", (sys.executable, "manage.py", "makemigrations", "--check", "--dry-run")),
)


# The whole suite in two processes (586 s against 755 s, browser tests included, on two cores that were busy with other
# work). Tests that were asked for by arguments run in one, where a debugger can stop them.
WHOLE = ("-n", "2")
# Those whose answer may depend on the database: see tests/conftest.py. How many queries a page asks does not.
ON_POSTGRESQL = ("-n", "2", "-m", "database", "-k", "not does_not_grow", "tests/hangar")


def prepare_databases(pytest_arguments: Sequence[str]) -> None:
    """Have PostgreSQL where the whole suite will run, installed if need be; else say that it stays untested.

    Raises:
        Stop: there is none, and HANGAR_POSTGRESQL is `required`.
    """
    if pytest_arguments or _wanted() == "skip":
        return
    try:
        system.require_postgresql()
    except Stop as stop:
        if _wanted() == "required":
            raise
        say(f"NOT TESTED on PostgreSQL, only on SQLite. {stop}")


def _wanted() -> str:
    return os.environ.get("HANGAR_POSTGRESQL", "")


def run(pytest_arguments: Sequence[str], *, top: Path, steps: Sequence[Step] = STEPS) -> int:
    """Run every check, then pytest with `pytest_arguments`, or the whole suite where there are none.

    Returns:
        0 where all went well; pytest's own exit status where it failed; 1 where only a check failed.
    """
    with tempfile.TemporaryDirectory(prefix="hangar-test-") as data:
        # Neither the club's data nor another run of the tests may be touched.
        environment = {**os.environ, "HANGAR_DATA": data}
        failed = [step.title for step in steps if not _passes(step, top, environment)]
        if not pytest_arguments and not _passes_on_postgresql(top, environment):
            failed.append("PostgreSQL")
        if failed:
            say(f"FAILED before the tests: {', '.join(failed)} (see above). This run fails even if every test passes.")
        arguments = tuple(pytest_arguments) or WHOLE
        say(" ".join(["Running the tests: pytest", *arguments]))
        command = [sys.executable, "-m", "pytest", *arguments]
        tests = subprocess.run(command, cwd=top, env=environment, check=False)
    return tests.returncode or int(bool(failed))


def _passes_on_postgresql(top: Path, environment: Mapping[str, str]) -> bool:
    """Run the tests of the database on a server made for them; True where there is none, which has been said before."""
    folder = None if _wanted() == "skip" else postgres.programs()
    if folder is None:
        return _wanted() != "required"
    step = Step("tests on PostgreSQL", (sys.executable, "-m", "pytest", "-q", *ON_POSTGRESQL))
    try:
        with postgres.server(folder) as address:
            return _passes(step, top, {**environment, "DATABASE_URL": address})
    except Stop as stop:
        say(f"FAILED {step.title}: {stop}")
        return False


def _passes(step: Step, top: Path, environment: Mapping[str, str]) -> bool:
    """Run one check and say how it went in one line; its own words only where it failed."""
    watch = Stopwatch()
    ended = subprocess.run(
        step.command,
        cwd=top,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    passed = ended.returncode == 0
    say(f"{'ok    ' if passed else 'FAILED'} {step.title} ({watch})")
    if not passed:
        say(ended.stdout.decode("utf-8", errors="replace").rstrip())
    return passed
