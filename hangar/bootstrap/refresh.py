"""Make the hashed locks anew from pyproject.toml: `python3 -m hangar.bootstrap.refresh [--upgrade]`.

Without --upgrade, versions that still fit stay as they are. It needs the program uv (`python3 -m pip install uv`), and
neither Django nor .venv. Run `python3 manage.py test` afterwards: it installs what the new locks say.
"""

import argparse
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from hangar.bootstrap import locks
from hangar.bootstrap.terminal import say

_TOP = Path(__file__).resolve().parents[2]
_OPTIONS = (
    "--universal",
    "--python-version=3.11",
    "--generate-hashes",
    "--no-emit-index-url",
    "--no-emit-find-links",
    "--no-header",
    "--quiet",
)


def commands(uv: str, *, upgrade: bool, top: Path = _TOP) -> list[list[str]]:
    """The two commands that make the locks; the tests' lock is held to the versions of the site's."""
    site = str(locks.running(top).path.relative_to(top))
    tests = str(locks.testing(top).path.relative_to(top))
    common = [uv, "pip", "compile", "pyproject.toml", *_OPTIONS, *(["--upgrade"] if upgrade else [])]
    return [
        [*common, f"--output-file={site}"],
        [*common, "--extra=test", f"--constraint={site}", f"--output-file={tests}"],
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the commands; the exit status."""
    parser = argparse.ArgumentParser(prog="python3 -m hangar.bootstrap.refresh", description=__doc__)
    parser.add_argument("--upgrade", action="store_true", help="take the newest versions that pyproject.toml allows")
    parser.add_argument("--uv", default=shutil.which("uv"), metavar="PATH", help="the program uv, if not on PATH")
    options = parser.parse_args(arguments)
    if options.uv is None:
        print("uv is not installed: python3 -m pip install uv; then start again.", file=sys.stderr)
        return 1
    for command in commands(options.uv, upgrade=options.upgrade):
        say(" ".join(command))
        status = subprocess.run(command, cwd=_TOP, check=False).returncode
        if status != 0:
            return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
