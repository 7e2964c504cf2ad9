"""A bar that tells how far a long command is, where someone looks at it."""

from time import monotonic

from django.core.management.base import OutputWrapper

WIDTH = 30
EVERY_S = 0.1


class Progress:
    """Counts up to `total` on one line of a terminal; in a file or a pipe it stays silent."""

    def __init__(self, total: int, what: str, stream: OutputWrapper) -> None:
        self.total, self.what, self.stream = total, what, stream
        self.done = 0
        self.shown_at = 0.0
        self.seen = stream.isatty() and total > 0

    def step(self) -> None:
        self.done += 1
        if self.seen and (self.done == self.total or monotonic() - self.shown_at >= EVERY_S):
            self.shown_at = monotonic()
            full = WIDTH * self.done // self.total
            bar = "#" * full + "." * (WIDTH - full)
            self._write(f"\r[{bar}] {self.done:,} of {self.total:,} {self.what}")

    def end(self) -> None:
        """Leave the line as it is and go to the next one."""
        if self.seen and self.done:
            self._write("\n")

    def _write(self, text: str) -> None:
        # It is no error, so not in the colour of one.
        self.stream.write(text, style_func=str, ending="")
        self.stream.flush()
