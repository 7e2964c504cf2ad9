"""The timings run and compare like with like; how long they take is not judged here."""

import numpy as np
import pytest

from mixing import Rig

from . import databases, linkages
from .hangar import timed
from .table import lines, missing
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


@pytest.mark.database
@pytest.mark.django_db(transaction=True)
def test_those_of_the_databases_run() -> None:
    told = {line.what: line.seconds for line in databases.timed(6, revisions=60, rounds=1)}
    assert list(told)[-4:] == ["backup", "export_club", "restore", "import_club"]
    assert "verify_history, 73 revisions" in told
    # The processes that they start count, too.
    assert told["restore"] > told["an answer of the bench"] > 0


def test_libraries_that_are_there_solve_the_same_linkage_and_the_others_are_told() -> None:
    there = linkages.available()
    told = missing()
    assert len(there) + len(told) == len(linkages.LIBRARIES)
    assert all(any(name in line for line in told) for name in linkages.LIBRARIES if name not in there)
    for name in there:
        np.testing.assert_allclose(linkages.theirs(name, 40)(), linkages.ours(40)(), atol=1e-6)


def test_the_linkage_of_the_comparison_is_the_documented_one() -> None:
    """The output angles that the documentation's linkage has at crank angles of 30, 60, 90 and 120 degrees."""
    documented = [83.0837389385472, 83.37492480346297, 96.61964860895868, 113.16214031288472]
    np.testing.assert_allclose(linkages.ours(4)(), documented, atol=1e-7)
