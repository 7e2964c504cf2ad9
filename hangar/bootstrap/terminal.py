"""What the start says on the terminal, and the one way in which it gives up."""

import sys
import time
from pathlib import Path

_SHOWN = 20


class Stop(Exception):
    """The start cannot go on. Its text is the one line that the person at the terminal reads."""


def say(line: str) -> None:
    """Print one line at once, also where the output is a pipe."""
    print(line, flush=True)


def show_end(log: Path) -> None:
    """Print the last lines of a log where the output is kept and the log may not be: a pipe, as on a CI's machine."""
    if not sys.stdout.isatty():
        lines = log.read_text(encoding="utf-8", errors="replace").splitlines()[-_SHOWN:]
        say("\n".join([f"The end of {log}:", *(f"  {line}" for line in lines)]))


class Counter:
    """A line that is written over while something counts up; silent where nobody watches (no terminal)."""

    def __init__(self) -> None:
        self._width = 0

    def show(self, text: str) -> None:
        """Replace the line by `text`."""
        if sys.stdout.isatty():
            text = text[:78]
            sys.stdout.write("\r" + text.ljust(self._width))
            sys.stdout.flush()
            self._width = len(text)

    def clear(self) -> None:
        """Take the line away, so that the next one starts on a clean line."""
        if self._width:
            sys.stdout.write("\r" + " " * self._width + "\r")
            sys.stdout.flush()
            self._width = 0


class Stopwatch:
    """Seconds since it was made."""

    def __init__(self) -> None:
        self._started = time.monotonic()

    def __str__(self) -> str:
        seconds = time.monotonic() - self._started
        return f"{seconds:.1f} s" if seconds < 10 else f"{seconds:.0f} s"
