"""The order of lists that two sides changed."""

import pytest

from mixing.three_way import joined_order

CASES = [
    # base, ours, theirs, together
    ("ab", "ab", "ab", "ab"),
    ("abc", "abc", "cba", "cba"),
    ("abc", "cba", "abc", "cba"),
    ("abc", "cab", "bac", "cab"),
    ("ab", "axb", "ayb", "ayxb"),
    ("ab", "ab", "axyb", "axyb"),
    ("ab", "axyb", "ab", "axyb"),
    ("ab", "ba", "axb", "bax"),
    ("abc", "abcx", "yabc", "yabcx"),
]


@pytest.mark.parametrize(("base", "ours", "theirs", "together"), CASES)
def test_orders_are_joined(base: str, ours: str, theirs: str, together: str) -> None:
    sides = [[(key,) for key in side] for side in (base, ours, theirs)]
    kept = {place for side in sides[1:] for place in side}
    assert "".join(key for (key,) in joined_order(sides[0], sides[1], sides[2], kept)) == together


def test_what_is_gone_is_left_out() -> None:
    base, ours, theirs = ([("a",), ("b",), ("c",)] for _ in range(3))
    assert joined_order(base, ours, theirs, {("a",), ("c",)}) == [("a",), ("c",)]
