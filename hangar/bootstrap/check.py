"""`manage.py test`: the checks of the code and then the tests, in one command.

The checks run two at a time, since that of the types takes one core and most of the time. pytest comes last, so that
the last line of the output is its own closing line. A check that failed is named before pytest starts and fails the
whole command, whatever pytest finds.

Before the whole suite, the tests of the database run on a PostgreSQL server made for them. HANGAR_POSTGRESQL says what
happens where this machine has none and cannot install it: `required` stops, `skip` does not even look; else it is said.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
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
SLOWEST = "types"


# The whole suite in two processes (586 s against 755 s, browser tests included, on two cores that were busy with other
# work). Tests that were asked for by arguments run in one, where a debugger can stop them.
# A file stays with one of them, so that what is made for all tests of a file is made once; the browser's come last.
WHOLE = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")
# Those whose answer may depend on the database: see tests/conftest.py. How many queries a page asks does not.
ON_POSTGRESQL = (*WHOLE, "-m", "database", "-k", "not does_not_grow", "tests/hangar")


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
        failed = _failed(steps, top, environment, on_postgresql=not pytest_arguments)
        if failed:
            say(f"FAILED before the tests: {', '.join(failed)} (see above). This run fails even if every test passes.")
        arguments = tuple(pytest_arguments) or WHOLE
        say(" ".join(["Running the tests: pytest", *arguments]))
        command = [sys.executable, "-m", "pytest", *arguments]
        tests = subprocess.run(command, cwd=top, env=environment, check=False)
    return tests.returncode or int(bool(failed))


def _failed(steps: Sequence[Step], top: Path, environment: Mapping[str, str], *, on_postgresql: bool) -> list[str]:
    """The titles of the checks that failed, each told when it ends; the slow one begins first."""
    failed = set()
    with ThreadPoolExecutor(2) as lanes:
        slow_first = sorted(steps, key=lambda step: step.title != SLOWEST)
        running = {lanes.submit(_run, step, top, environment): step.title for step in slow_first}
        if on_postgresql:
            running[lanes.submit(_run_on_postgresql, top, environment)] = "PostgreSQL"
        for ended in as_completed(running):
            passed, told = ended.result()
            if told:
                say(told)
            if not passed:
                failed.add(running[ended])
    return [title for title in (*(step.title for step in steps), "PostgreSQL") if title in failed]


def _run_on_postgresql(top: Path, environment: Mapping[str, str]) -> tuple[bool, str]:
    """As `_run`, for the tests of the database on a server made for them; nothing where there is none, which has been
    said before.
    """
    folder = None if _wanted() == "skip" else postgres.programs()
    if folder is None:
        return _wanted() != "required", ""
    step = Step("tests on PostgreSQL", (sys.executable, "-m", "pytest", "-q", *ON_POSTGRESQL))
    try:
        with postgres.server(folder) as address:
            return _run(step, top, {**environment, "DATABASE_URL": address})
    except Stop as stop:
        return False, f"FAILED {step.title}: {stop}"


def _run(step: Step, top: Path, environment: Mapping[str, str]) -> tuple[bool, str]:
    """Run one check: whether it passed, and how it went in one line; its own words only where it failed."""
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
    told = f"{'ok    ' if passed else 'FAILED'} {step.title} ({watch})"
    return passed, told if passed else f"{told}\n{ended.stdout.decode('utf-8', errors='replace').rstrip()}"
