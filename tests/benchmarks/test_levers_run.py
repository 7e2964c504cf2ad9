"""The lever benchmark runs from end to end, in a process of its own; how long its answers take is not judged here."""

import re
import subprocess
import sys


def test_two_members_move_levers() -> None:
    command = [sys.executable, "-m", "tests.benchmarks.levers", "--members", "2", "--seconds", "1", "--workers", "1"]
    told = subprocess.run(command, capture_output=True, text=True, timeout=180, check=True).stdout
    assert re.search(r"^\d+ answers$", told, flags=re.MULTILINE), told
    assert float(re.search(r"processor +([\d.]+) ms", told)[1]) > 0  # type: ignore[index]
    assert "server time  median" in told
