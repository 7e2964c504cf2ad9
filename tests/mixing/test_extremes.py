"""The search for the highest value of a sum, against every combination."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from mixing import boxes, extremes
from mixing.extremes import highest, lowest
from mixing.sums import Line, Product, TravelSum


def random_sum(
    seed: int, controls: int, stations: int, products: int, most: int, *, integers: bool = False
) -> TravelSum:
    """Products of lines of random controls; integers make many ties and flat pieces."""
    rng = np.random.default_rng(seed)
    keys = [f"c{index}" for index in range(controls)]

    def line(key: str, low: float, high: float) -> Line:
        inner = np.unique(rng.integers(-99, 100, stations - 2)).astype(float)
        x = np.concatenate([[-100.0], inner, [100.0]])
        y = rng.integers(int(low), int(high) + 1, len(x)).astype(float) if integers else rng.uniform(low, high, len(x))
        return Line(key, x, y)

    made = []
    for _ in range(products):
        chosen = rng.permutation(keys)[: rng.integers(1, most + 1)].tolist()
        parts = [line(chosen[0], -100, 100), *(line(key, 0, 1) for key in chosen[1:])]
        made.append(Product(1.0, tuple(parts), chosen[0]))
    return TravelSum.of(float(rng.uniform(-20, 20)), made, dict.fromkeys(keys, 0.0), frozenset())


def enumerated(total: TravelSum) -> tuple[float, float]:
    grid = np.meshgrid(*total.stations.values(), indexing="ij")
    values = total.at(dict(zip(total.stations, grid, strict=True)))
    return float(np.min(values)), float(np.max(values))


@settings(max_examples=150)
@given(st.integers(0, 10**6), st.integers(1, 4), st.integers(2, 5), st.integers(0, 5), st.integers(1, 3), st.booleans())
def test_is_the_highest_of_every_combination(
    seed: int, controls: int, stations: int, products: int, most: int, integers: bool
) -> None:
    total = random_sum(seed, controls, stations, products, min(most, controls), integers=integers)
    low, high = enumerated(total)
    for found, expected in ((lowest(total), low), (highest(total), high)):
        assert found.exact
        assert found.value == pytest.approx(expected, abs=1e-9)
        assert float(total.at(found.at)) == found.value


@settings(max_examples=60)
@given(st.integers(0, 10**6), st.booleans())
def test_boxes_find_the_same(seed: int, integers: bool) -> None:
    total = random_sum(seed, 4, 5, 5, 3, integers=integers)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(extremes, "LARGEST_TABLE", 0)
        found = highest(total)
    assert found.exact
    assert found.value == pytest.approx(enumerated(total)[1], abs=1e-9)


def test_boxes_say_when_they_were_ended() -> None:
    rng = np.random.default_rng(0)
    terms = [boxes.Term(1.0, {key: rng.uniform(-1, 1, 60) for key in ("a", "b", "c", "d")}) for _ in range(4)]
    sizes = dict.fromkeys("abcd", 60)
    ended, certain, spent = boxes.search(terms, sizes, 1000)
    assert not certain
    assert spent > 1000
    finished, certain, _ = boxes.search(terms, sizes, 10**9)
    assert certain
    assert finished.value >= ended.value
    whole = sum(np.einsum("i,j,k,l->ijkl", *(term.values[key] for key in "abcd")) for term in terms)
    assert finished.value == pytest.approx(float(np.max(whole)))
    assert float(whole[tuple(finished.indices[key] for key in "abcd")]) == pytest.approx(finished.value)


def test_only_some_positions_of_a_control() -> None:
    total = random_sum(3, 3, 5, 4, 2)
    control = total.controls[0]
    kept = total.stations[control][:2]
    found = highest(total, {control: kept})
    assert found.at[control] in kept
    best = max(enumerated(total.with_fixed({control: float(x)}))[1] for x in kept)
    assert found.value == pytest.approx(best, abs=1e-9)


def test_a_shared_budget_runs_out() -> None:
    total = random_sum(1, 7, 60, 9, 7)
    budget = extremes.Budget(left=5000)
    first = highest(total, budget=budget)
    assert not first.exact
    assert budget.left == 0
    assert highest(total).value >= first.value


def test_sums_are_the_same_but_for_rounding() -> None:
    one, other = random_sum(5, 3, 4, 3, 2), random_sum(5, 3, 4, 3, 2)
    assert one.same_as(other)
    assert not one.same_as(random_sum(6, 3, 4, 3, 2))
    turned = one.mirrored(frozenset(one.controls))
    at = dict.fromkeys(one.controls, 30.0)
    assert float(turned.at(at)) == pytest.approx(float(one.at({key: -x for key, x in at.items()})))
    assert turned.mirrored(frozenset(one.controls)).same_as(one)
    assert float(one.negated().at(at)) == -float(one.at(at))
