"""Reads the cases beside this file: values from outside the project, each with its source and how it was obtained."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

Case = dict[str, Any]


@cache
def cases(topic: str) -> dict[str, Case]:
    """The cases of one topic by their number."""
    text = (Path(__file__).parent / "cases" / f"{topic}.json").read_text(encoding="utf-8")
    return {case["id"]: case for case in json.loads(text)}


def assert_close(got: Any, expected: Any, case: Case, tolerance: float | None = None) -> None:
    """Equal within the case's own tolerance; the source is named where it is not."""
    atol = case["tolerance"] if tolerance is None else tolerance
    np.testing.assert_allclose(
        np.asarray(got, dtype=float), np.asarray(expected, dtype=float), rtol=0.0, atol=atol, err_msg=case["source"]
    )
