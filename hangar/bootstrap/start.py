"""What manage.py does: enter .venv, look for system libraries, then hand over to the tests or to Django."""

import importlib.util
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from hangar.bootstrap import check, demo_options, system
from hangar.bootstrap.environment import Environment
from hangar.bootstrap.install import ensure
from hangar.bootstrap.locks import Lock, running, testing
from hangar.bootstrap.terminal import Stop


def main(argv: Sequence[str], *, top: str) -> int:
    """Run `manage.py` with `argv` in the checkout `top`; the exit status.

    With HANGAR_BOOTSTRAP=0 nothing is installed and the running Python is used as it is.
    """
    try:
        return _start(list(argv), Path(top))
    except Stop as stop:
        print(stop, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def _start(argv: list[str], top: Path) -> int:
    command = argv[1] if len(argv) > 1 else ""
    if os.name == "nt":
        raise Stop("Hingeline runs on Linux and macOS: on Windows start it inside the Windows Subsystem for Linux.")
    if command == "demo":
        demo_options.check_early(argv[2:])
    if command != "test":
        demo_options.require_writable(demo_options.data_folder(top))
    if command in ("demo", "test"):
        system.require_pango()
    if command == "test":
        system.require_chromium()
        system.require_poppler()
        check.prepare_databases(argv[2:])
    _enter(argv, top, [running(top), testing(top)] if command == "test" else [running(top)])
    if command == "test":
        return check.run(argv[2:], top=top)
    return _django(argv)


def _enter(argv: list[str], top: Path, locks: Sequence[Lock]) -> None:
    """Be in a Python that has the packages of `locks`."""
    if os.environ.get("HANGAR_BOOTSTRAP") == "0":
        _require_installed(locks, top)
        return
    environment = Environment(top)
    ensure(environment, locks, top=top)
    if not environment.is_running():
        environment.enter([str(top / "manage.py"), *argv[1:]])
    environment.arrived()


def _require_installed(locks: Sequence[Lock], top: Path) -> None:
    wanted = ("django", "pytest")[: len(locks)]
    missing = [name for name in wanted if importlib.util.find_spec(name) is None]
    if missing:
        files = " ".join(f"-r {lock.path.relative_to(top)}" for lock in locks)
        raise Stop(
            f"{' and '.join(missing)} not installed, and HANGAR_BOOTSTRAP=0 keeps this command from installing: "
            f"{sys.executable} -m pip install --require-hashes {files}"
        )


def _django(argv: list[str]) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
    from django.core.management import execute_from_command_line  # there is none before _enter

    execute_from_command_line(argv)
    return 0
