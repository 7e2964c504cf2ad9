"""Setups read from their text, kept while the site runs: a lever that is moved asks for the same one many times."""

from mixing import Setup

from .remembered import Remembered

_known: Remembered[str, Setup] = Remembered(300)


def parsed(text: str) -> Setup:
    """The setup that a text says; SetupError where it is none. Setups never change, so all may share one."""
    return _known.once(text, lambda: Setup.from_text(text))
