"""The benchmarks with members run from end to end, in processes of their own; how long answers take is not judged."""

import re
import subprocess
import sys

from tests.patience import PATIENCE_S


def test_two_members_move_levers() -> None:
    command = [sys.executable, "-m", "tests.benchmarks.levers", "--members", "2", "--seconds", "1", "--workers", "1"]
    told = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S, check=True).stdout
    assert re.search(r"^\d+ answers$", told, flags=re.MULTILINE), told
    assert float(re.search(r"processor +([\d.]+) ms", told)[1]) > 0  # type: ignore[index]
    assert "server time  median" in told


def test_two_members_use_the_site() -> None:
    command = [sys.executable, "-m", "tests.benchmarks.members", "--members", "2", "--seconds", "1", "--workers", "1"]
    told = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S, check=True).stdout
    assert re.match(r"\d+ answers, 0 errors, \d+ ms of a processor each\nall ", told), told
