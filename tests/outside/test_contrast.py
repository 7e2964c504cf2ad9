"""The colours of the pages against WCAG's contrast formula, which is first checked against published ratios."""

import re
from pathlib import Path

import pytest

from .reference import assert_close, cases

CASES = cases("contrast")
CSS = (Path(__file__).parents[2] / "hangar" / "static" / "base.css").read_text(encoding="utf-8")
# WCAG 2.2: 1.4.3 text, 1.4.11 what shows where a field or a control is; the least ratio, nothing rounded.
TEXT, EDGE = 4.5, 3.0
GROUNDS = ("paper", "ground")
PAIRS = [
    *(
        (ink, ground, TEXT)
        for ground in GROUNDS
        for ink in ("ink", "quiet", "accent", "accent-strong", "warning", "good")
    ),
    *((ink, ground, TEXT) for ground in (*GROUNDS, "caution-tint") for ink in ("caution", "ink")),
    *((ink, "warning-tint", TEXT) for ink in ("warning", "ink")),
    *((ink, "tint", TEXT) for ink in ("ink", "quiet", "accent", "accent-strong")),
    ("on-accent", "accent", TEXT),
    ("on-accent", "accent-strong", TEXT),
    *((edge, ground, EDGE) for ground in GROUNDS for edge in ("edge", "focus")),
]


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour "#rrggbb": WCAG 2.2, glossary."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def scheme(name: str) -> dict[str, str]:
    """The colour variables of base.css by day, or by night: the dark block changes what it names."""
    day, night = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)[:2]
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", day))
    if name == "night":
        found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", night))
    return found


def test_published_ratios() -> None:
    case = CASES["J01"]
    assert_close([contrast(*pair) for pair in case["inputs"]["pairs"]], case["expected"], case)


def test_the_older_threshold_gives_the_same_luminances() -> None:
    """J03: WCAG said 0.03928 before; no colour of 8 bits lies between the two."""
    assert sum(0.03928 < value / 255 <= 0.04045 for value in range(256)) == CASES["J03"]["expected"]["differences"]


def test_published_luminances() -> None:
    case = CASES["J04"]
    assert_close([luminance(colour) for colour in case["inputs"]["colours"]], case["expected"], case)


def test_nothing_is_rounded_at_the_threshold() -> None:
    case = CASES["J02"]
    assert (contrast("#777777", "#ffffff") >= TEXT) is case["expected"]["passes_777"]
    assert (contrast("#767676", "#ffffff") >= TEXT) is case["expected"]["passes_767"]


@pytest.mark.parametrize("name", ["day", "night"])
def test_every_pair_that_the_pages_use(name: str) -> None:
    colours = scheme(name)
    poor = {
        f"{ink} on {ground}": round(contrast(colours[ink], colours[ground]), 2)
        for ink, ground, least in PAIRS
        if contrast(colours[ink], colours[ground]) < least
    }
    assert not poor


def test_by_night_every_colour_is_another() -> None:
    day, night = scheme("day"), scheme("night")
    assert {name for name in day if day[name] == night[name]} == set()
