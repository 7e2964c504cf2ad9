"""Differences between two surfaces that follow more controls together than can be laid out as a grid."""

import numpy as np
import pytest

from mixing import Setup
from mixing.climbing import DIRECTIONS, rim
from mixing.findings.finding import Examined

from .audit.told import one
from .building import left_and_right, setup, stick

COUNT = 12
X = np.linspace(-100, 100, 5)
RULER = {"kind": "measured", "points": [[500, -50], [2500, 50]]}
"""0.05 mm for 1 µs, so 0.25 mm for 1 % of travel, straight."""


def many(seed: int, **linkage: object) -> tuple[Setup, np.ndarray, np.ndarray]:
    """A pair that every one of twelve sticks moves, right and left each in its own way; their responses (12, 5)."""
    rng = np.random.default_rng(seed)
    right, left = rng.uniform(-8, 8, (2, COUNT, len(X))).round(1)
    keys = [f"stick_{index:02}" for index in range(COUNT)]
    couplings = [
        {"control": key, "channel": number, "stations": np.column_stack([X, travels]).tolist()}
        for number, side in ((1, left), (2, right))
        for key, travels in zip(keys, side, strict=True)
    ]
    made = setup(
        controls=[stick(key) for key in keys],
        surfaces=left_and_right("flap", 1, 2, linkage=linkage or RULER),
        couplings=couplings,
    )
    return made, right, left


@pytest.mark.parametrize("seed", range(6))
def test_a_difference_over_twelve_controls_is_the_greatest_there_is(seed: int) -> None:
    """Straight linkages of one slope: each stick by itself stands where its two responses are furthest apart."""
    made, right, left = many(seed)
    apart = right - left
    widest = 0.25 * max(apart.max(axis=1).sum(), -apart.min(axis=1).sum())
    assert f": {widest:.1f}".rstrip("0").rstrip(".") + " mm apart" in one(made, "uneven").text


@pytest.mark.parametrize("seed", range(3))
def test_a_bent_difference_over_twelve_controls_is_not_short(seed: int) -> None:
    """Linkages that bend: better than anything that ten thousand draws and a climb from each of the best find."""
    made, _, _ = many(seed, kind="unmeasured", deg_per_1000_us=200)
    examined = Examined(made)
    first, second = (examined.throw(made.surface(key), examined.total(made.surface(key).channel, None))
                     for key in ("right_flap", "left_flap"))  # fmt: skip
    widest = examined.most_above(first, second)
    assert widest.value == pytest.approx(float(first.at(widest.at()) - second.at(widest.at())), abs=1e-9)
    rng = np.random.default_rng(seed + 100)
    keys = [control.key for control in made.controls]
    drawn = {key: rng.choice(X, 10_000) for key in keys}

    def off(at: dict[str, np.ndarray]) -> np.ndarray:
        return first.of(first.total.at(at)) - second.of(second.total.at(at))

    best = np.argsort(off(drawn))[-20:]
    rows = {key: values[best] for key, values in drawn.items()}
    for _ in range(3):
        for key in keys:
            tried = [off({**rows, key: np.full(20, x)}) for x in X]
            rows[key] = X[np.argmax(tried, axis=0)]
    assert widest.value >= float(off(rows).max()) - 1e-6


def test_what_is_told_says_whether_there_may_be_more() -> None:
    straight, bent = many(0)[0], many(0, kind="unmeasured", deg_per_1000_us=200)[0]
    assert "or more" not in one(straight, "uneven").text
    assert one(bent, "uneven").text.endswith(" mm or more apart.")


@pytest.mark.parametrize("seed", range(4))
def test_no_more_is_what_nothing_that_can_be_reached_passes(seed: int) -> None:
    """The polygon round what both can reach, looked at all over, holds every pair of travels that they do reach."""
    made, _, _ = many(seed)
    examined = Examined(made)
    first, second = (examined.total(number, None) for number in (2, 1))
    reached = rim(examined.travels, first, second)
    assert reached.sure
    rng = np.random.default_rng(seed)
    drawn = {control.key: rng.choice(X, 2000) for control in made.controls}
    pairs = np.column_stack([first.at(drawn), second.at(drawn)])
    angles = np.pi * np.arange(2 * DIRECTIONS) / DIRECTIONS
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    assert np.all(pairs @ ways.T <= reached.out + 1e-9)
    one_travel, other_travel = reached.points(0.0, 0.0)
    inside = np.column_stack([one_travel, other_travel]) @ ways.T
    assert np.all(inside <= reached.out + 1e-6)
    assert np.allclose(inside.max(axis=0), reached.out)
