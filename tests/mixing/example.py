"""The example setup, an invented electric glider of 2.6 m, and what an independent implementation made of it."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from mixing import Setup

DATA = Path(__file__).parent / "data"


@cache
def example_text() -> str:
    return (DATA / "electric_glider.json").read_text(encoding="utf-8")


def example() -> Setup:
    return Setup.from_text(example_text())


def example_data() -> dict[str, Any]:
    """The document as plain data, fresh each time, to be bent by a test."""
    return dict(json.loads(example_text()))


def expected_cases() -> list[dict[str, Any]]:
    """From data/electric_glider.expected.json: Newton continuation on the loop equation, expo evaluated exactly."""
    text = (DATA / "electric_glider.expected.json").read_text(encoding="utf-8")
    return list(json.loads(text)["cases"])
