"""The numbers on paper are those of the rig: read back from the PDF and compared with a fresh evaluation."""

import re
from typing import Any

import numpy as np
import pytest

from hangar.sheets import pdf
from hangar.sheets.spacings import SPACINGS
from mixing import Rig, Setup
from mixing.document import Surface

from . import layouts
from .rendering import LAYOUTS, html_of, render, rendered, text_of

ARROWS = {"rudder": ("←", "→")}
POSITIONS = np.array([-100.0, -50.0, 0.0, 50.0, 100.0])


def figures(surface: Surface, throws: Any, degrees: Any) -> str:
    """The row of a surface in the throw table, made from the rig's numbers without the sheet's own code."""
    told, angles = [], []
    for throw, deg in zip(throws, degrees, strict=True):
        still = f"{abs(throw):.1f}" == "0.0"
        arrow = ARROWS.get(surface.role, ("↓", "↑"))[int(throw < 0)]
        told.append("0" if still else f"{abs(throw):.1f} {arrow}")
        angles.append("0°" if still else f"{abs(deg):.1f}°")
    return " ".join(told + angles)


def group(shown: str, head: str) -> str:
    """The rows below one head of the throw table."""
    rest = shown[shown.index(head) + len(head) :]
    end = re.search(r"\n.* −100 .* measured|\nEvery surface:|\nChannels", rest)
    return rest[: end.start()] if end else rest


@pytest.mark.parametrize("name", ["example", "conventional", "vee tail", "inverted vee", "flying wing", "two servos"])
@pytest.mark.parametrize("control", ["roll", "pitch", "yaw", "lever"])
def test_throws_on_paper_are_those_of_the_rig(name: str, control: str) -> None:
    setup = LAYOUTS[name]()
    rig = Rig(setup)
    phase = setup.phases[0].key if setup.phases else None
    frame = rig.at({control: POSITIONS}, phase=phase)
    shown = text_of(rendered(name).content).replace(" L R ", " ").replace(" L R", "")
    label = next(c.label for c in setup.controls if c.key == control)
    moved = [s for s in setup.surfaces if np.ptp(frame.throw_mm[s.key]) > 0.05]
    for surface in moved:
        row = figures(surface, frame.throw_mm[surface.key], frame.deflection_deg[surface.key])
        assert row in shown, (label, surface.label, row)
    head = f"{label} in {setup.phases[0].label} −100" if setup.phases else f"{label} −100"
    if not moved:
        assert head not in shown
        return
    still = [s.label for s in setup.surfaces if s not in moved]
    assert not [one for one in still if f"\n{one} " in group(shown, head)]


@pytest.mark.parametrize("phase", ["thermal", "speed"])
def test_phases_with_couplings_of_their_own_have_their_own_rows(phase: str) -> None:
    setup = layouts.vee_tail()
    shown = text_of(rendered("vee tail").content)
    frame = Rig(setup).at({"roll": POSITIONS}, phase=phase)
    rows = group(shown, f"Aileron stick in {phase.capitalize()} −100")
    for key in ("left_aileron_0", "right_flap_0"):
        surface = setup.surface(key)
        assert f"{surface.label} {figures(surface, frame.throw_mm[key], frame.deflection_deg[key])}" in rows


def test_stances_on_paper_are_those_of_the_rig() -> None:
    setup = LAYOUTS["example"]()
    frame = Rig(setup).at({}, phase="thermal")
    shown = text_of(rendered("example").content)
    for key, label in (("right_aileron", "Aileron left + right"), ("left_flap", "Flap left + right")):
        surface = setup.surface(key)
        row = figures(surface, [float(frame.throw_mm[key])], [float(frame.deflection_deg[key])])
        assert f"{label} 0 {row}" in shown


def test_a_mirrored_row_is_the_right_one_and_its_left_one_reversed() -> None:
    name = "eight surfaces, three phases"
    setup = LAYOUTS[name]()
    made = pdf.render([lambda: html_of(setup, SPACINGS[-2])], sheet="sheet", paper="a4")
    shown = text_of(made.content).replace(" L R ", " ").replace(" L R", "")
    frame = Rig(setup).at({"roll": POSITIONS}, phase="thermal")
    for role in ("aileron", "flaperon", "flap"):
        right, left = (setup.surface(f"{side}_{role}_0") for side in ("right", "left"))
        row = figures(right, frame.throw_mm[right.key], frame.deflection_deg[right.key])
        assert f"Right {role}, left mirrored {row}" in shown
        assert row == figures(left, frame.throw_mm[left.key][::-1], frame.deflection_deg[left.key][::-1])


def test_the_picture_of_a_check_and_the_table_say_the_same() -> None:
    setup = LAYOUTS["example"]()
    shown = text_of(rendered("example").content)
    right = float(Rig(setup).at({"roll": 100.0}).throw_mm["right_aileron"])
    figure = f"{abs(right):.1f} ↑"
    assert shown.count(figure) >= 2


def test_levels_of_a_motor_are_those_of_the_rig() -> None:
    setup = layouts.conventional()
    level = Rig(setup).at({"power": POSITIONS, "arm": 100.0}).level_pct["motor"]
    told = " ".join(f"{value:g} %" for value in level.tolist())
    assert f"Motor {told}" in text_of(rendered("conventional").content)


def test_pulses_and_limits_are_those_of_the_document() -> None:
    setup = LAYOUTS["example"]()
    shown = text_of(rendered("example").content)
    for channel in setup.channels:
        sense = "reversed" if channel.reversed else "normal"
        row = f"{channel.number} {channel.label} {sense} {channel.centre_us:g} {channel.low_us:g} … {channel.high_us:g}"
        assert row in shown


def test_a_throw_beyond_the_measured_points_is_marked_as_an_estimate() -> None:
    setup = layouts.conventional(linkages="measured")
    data = setup.data()
    for coupling in data["couplings"]:
        if coupling["control"] == "pitch":
            coupling["stations"] = [[-100, 100], [100, -100]]
    beyond = Setup.model_validate(data)
    frame = Rig(beyond).at({"pitch": POSITIONS}, phase="cruise")
    # Readings were taken from 1100 to 1900 µs; full stick asks for 1000 and 2000.
    assert float(frame.pulse_us[beyond.surface("centre_elevator_0").channel][0]) > 1900
    throw = abs(float(frame.throw_mm["centre_elevator_0"][0]))
    shown = text_of(render(beyond).content)
    assert f"Elevator ≈{throw:.1f} ↓" in shown
    assert "≈ estimated, linkage not measured" in shown


def test_every_throw_of_an_unmeasured_linkage_is_marked() -> None:
    setup = layouts.vee_tail(linkages="unmeasured")
    frame = Rig(setup).at({"lever": -100.0}, phase="cruise")
    shown = text_of(rendered("unmeasured").content)
    assert "≈ estimated, linkage not measured" in shown
    for key in ("left_flap_0", "left_ruddervator_0"):
        throw = f"{abs(float(frame.throw_mm[key])):.1f} ↓"
        assert f"≈{throw}" in shown
        assert not re.search(rf"(?<!≈){re.escape(throw)}", shown)


def test_a_cut_and_a_blocked_throw_are_marked_and_explained() -> None:
    data = LAYOUTS["example"]().data()
    data["channels"][3]["high_us"] = 1700.0
    # An arm longer than the horn takes it past its dead point.
    data["surfaces"][0]["linkage"] |= {"arm_mm": 20.0, "horn_mm": 8.0, "servo_deg_per_1000_us": 120.0}
    setup = Setup.model_validate(data)
    frame = Rig(setup).at({"pitch": -100.0, "roll": 100.0})
    assert frame.held[4]
    assert frame.blocked["right_aileron"]
    shown = text_of(render(setup).content)
    assert re.search(r"Elevator \d+\.\d ↓†", shown)
    assert re.search(r"\d ↑‡", shown)
    assert "† cut by the channel's limits." in shown
    assert "‡ the linkage cannot follow this far." in shown
