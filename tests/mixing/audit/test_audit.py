"""The audit as a whole: the example, the order, the words, and that nothing makes it stumble."""

import re
from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing import Rig, Setup, audit
from mixing.audit import CODES
from mixing.findings.finding import Examined
from mixing.positions import phase_words
from mixing.purposes import wanted_way

from .. import building
from ..building import phase, setup, switch
from ..example import example, example_data
from ..strategies import positions_of, setups

SEVERITIES = ["warning", "caution", "note"]


def test_the_example_has_the_faults_that_it_is_known_for() -> None:
    found = audit(example(), receiver_channels=9)
    warnings = {finding.where: finding for finding in found if finding.severity == "warning"}
    assert set(warnings) == {"surfaces/right_aileron", "surfaces/left_aileron", "surfaces/rudder"}
    assert {finding.code for finding in warnings.values()} == {"past-stop"}
    right, left, rudder = (warnings[f"surfaces/{key}"].at for key in ("right_aileron", "left_aileron", "rudder"))
    assert (right["lever"], right["roll"]) == (-100.0, 100.0)
    assert (left["lever"], left["roll"]) == (-100.0, -100.0)
    assert (abs(rudder["roll"]), rudder["yaw"]) == (100.0, rudder["roll"])
    assert [finding.code for finding in found if finding.severity != "warning"] == ["motor-lock"]


def test_a_finding_is_a_sentence_with_positions_and_amounts() -> None:
    aileron = next(finding for finding in audit(example()) if finding.where == "surfaces/right_aileron")
    assert aileron.text == (
        "Right aileron goes 32.3° up, 2.3° past its stop of 30° (23.4 mm up), "
        "with left lever full back and aileron stick full right, in cruise."
    )


def test_the_worst_comes_first_and_the_order_is_always_the_same() -> None:
    data = example_data()
    for line in data["channels"]:
        line["failsafe"] = None
    data["balance"]["loads"][0]["cg_mm"] = 120
    data["signal"]["curve_points"] = 2
    found = audit(Setup.model_validate(data), receiver_channels=5)
    ranks = [(SEVERITIES.index(finding.severity), CODES.index(finding.code)) for finding in found]
    assert ranks == sorted(ranks)
    assert {finding.severity for finding in found} == set(SEVERITIES)
    assert found == audit(Setup.model_validate(data), receiver_channels=5)


def test_the_example_is_looked_over_in_a_moment() -> None:
    made = example()

    def taken_s() -> float:
        start = process_time()
        audit(made)
        return process_time() - start

    # In one of them all that the tests before left behind may be swept up.
    assert min(taken_s() for _ in range(4)) < 0.5


@settings(max_examples=80)
@given(setups(), st.sampled_from([None, 1, 16]))
def test_any_setup_can_be_looked_over(made: Setup, receiver_channels: int | None) -> None:
    known = {"surfaces", "channels", "devices", "couplings", "controls", "balance"}
    for finding in audit(made, receiver_channels):
        assert finding.code in CODES
        assert finding.severity in SEVERITIES
        assert finding.where.partition("/")[0] in known
        assert finding.text.endswith(".")
        assert finding.text[0].isupper()
        assert not re.search(r"-\d|nan|inf\b| 0 mm ", finding.text), finding.text
        Rig(made).at(dict(finding.at))


@settings(max_examples=80)
@given(setups(), st.data())
def test_what_is_not_told_is_not_there(made: Setup, data: st.DataObject) -> None:
    """Positions drawn at random break no rule that the audit calls kept."""
    found = {(finding.code, finding.where) for finding in audit(made)}
    points = data.draw(st.lists(positions_of(made), min_size=5, max_size=20))
    frame = Rig(made).at({key: np.array([point[key] for point in points]) for key in points[0]})
    for surface in made.surfaces:
        where = f"surfaces/{surface.key}"
        deflection = frame.deflection_deg[surface.key]
        if ("past-stop", where) not in found:
            assert np.all(deflection <= surface.stop_down_deg + 1e-5)
            assert np.all(deflection >= -surface.stop_up_deg - 1e-5)
        if ("unreachable", where) not in found:
            assert not np.any(frame.blocked[surface.key])
    for line in made.channels:
        if ("held", f"channels/{line.number}") not in found:
            assert not np.any(frame.held[line.number])


@settings(max_examples=80)
@given(setups(), st.data())
def test_no_wrong_way_is_missed_at_positions_drawn_at_random(made: Setup, data: st.DataObject) -> None:
    """Controls that fade nothing of the surface's channel: for these the rule is a plain comparison with rest."""
    found = {(finding.code, finding.where) for finding in audit(made)}
    points = data.draw(st.lists(positions_of(made), min_size=5, max_size=20))
    others = {key: np.array([point[key] for point in points]) for key in points[0]}
    rig = Rig(made)
    for control in made.controls:
        if control.key == rig.phase_control:
            continue
        at_rest = rig.at({**others, control.key: control.rest})
        for use in control.uses:
            at_end = rig.at({**others, control.key: use.full})
            for surface in made.surfaces:
                if ("wrong-way", f"surfaces/{surface.key}") in found or _fades(made, control.key, surface.channel):
                    continue
                moved = at_end.throw_mm[surface.key] - at_rest.throw_mm[surface.key]
                assert np.all(moved * wanted_way(use.purpose, surface) >= -0.51)


def _fades(made: Setup, control: str, number: int) -> bool:
    return any(
        fade.control == control for coupling in made.couplings if coupling.channel == number for fade in coupling.fades
    )


@settings(max_examples=60)
@given(setups(), st.data())
def test_a_difference_is_never_less_than_at_positions_drawn_at_random(made: Setup, data: st.DataObject) -> None:
    """Between two surfaces at the same positions: what every rule that compares is built on."""
    if len(made.surfaces) < 2:
        return
    examined = Examined(made)
    first, second = made.surfaces[0], made.surfaces[-1]
    points = data.draw(st.lists(positions_of(made), min_size=5, max_size=20))
    for place in examined.places:
        one = examined.throw(first, examined.total(first.channel, place))
        other = examined.throw(second, examined.total(second.channel, place))
        widest = examined.most_above(one, other)
        at = {**widest.at(), **examined.travels.fixed(place)}
        frame = examined.rig.at(at)
        attained = float(frame.throw_mm[first.key] - frame.throw_mm[second.key])
        assert attained == pytest.approx(widest.value, abs=1e-6)
        stacked = {key: np.array([point[key] for point in points]) for key in points[0]}
        drawn = examined.rig.at({**stacked, **examined.travels.fixed(place)})
        assert np.all(drawn.throw_mm[first.key] - drawn.throw_mm[second.key] <= widest.value + 0.3)


def test_a_position_without_a_phase_of_its_own_is_named_with_the_first_phase() -> None:
    made = setup(
        controls=[switch("mode", (-100, 0, 100))],
        surfaces=[building.surface()],
        phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
    )
    assert [phase_words(made, position) for position in (-100, 100)] == ["cruise", "landing"]
    assert phase_words(made, 0).startswith("cruise (mode ")
