"""The timings run and compare like with like; how long they take is not judged here."""

import numpy as np
import pytest

from mixing import Rig

from .hangar import timed
from .table import lines
from .wing import plain, positions, wing


def test_every_line_of_the_table_runs() -> None:
    for line in lines(count=200, steps=5, rounds=1):
        assert line.seconds > 0
        assert line.other_seconds > 0
        assert line.what in str(line)


def test_the_yardstick_does_the_same_arithmetic() -> None:
    setup, at = wing(), positions(500)
    frame = Rig(setup).at(at)
    assert not any(blocked.any() for blocked in frame.blocked.values())
    for key, throw in plain(setup, at).items():
        np.testing.assert_allclose(frame.throw_mm[key], throw, atol=1e-9)
    assert len(setup.couplings) == 16
    assert sum(bool(coupling.fades) for coupling in setup.couplings) == pytest.approx(4)


@pytest.mark.django_db
def test_those_of_a_growing_hangar_run() -> None:
    told = [line.what for line in timed(12, few=6, revisions=4, rounds=1)]
    assert "line-up /?state=grounded at 12 airframes" in told
    assert "history of 4 revisions, page 2" in told
    assert told[-1] == "verify_history over 28 revisions"
