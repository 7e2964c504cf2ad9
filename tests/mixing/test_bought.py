"""A bought model: its setup as it was, nothing of the model taken as measured."""

import pytest

from mixing import Rig, Setup
from mixing.bought import as_bought

from .example import example, example_data


def test_every_linkage_is_unmeasured_and_the_rest_stays() -> None:
    before, after = example(), as_bought(example())
    assert {surface.linkage.kind for surface in after.surfaces} == {"unmeasured"}
    kept = ("signal", "balance", "controls", "channels", "devices", "phases", "couplings")
    assert {name: after.data()[name] for name in kept} == {name: before.data()[name] for name in kept}
    for was, now in zip(before.surfaces, after.surfaces, strict=True):
        assert was.model_dump(exclude={"linkage"}) == now.model_dump(exclude={"linkage"})


def test_remarks_stay_with_whoever_wrote_them() -> None:
    assert as_bought(example().changed(remarks="Ask Ada about the flaps")).remarks == ""


@pytest.mark.parametrize("key", [surface.key for surface in example().surfaces])
def test_each_keeps_its_way_and_about_its_slope_near_neutral(key: str) -> None:
    before, after = example(), as_bought(example())
    surface = before.surface(key)
    for pulse in (1450.0, 1550.0):
        was = float(Rig(before).follow(surface, pulse).deflection_deg)
        now = float(Rig(after).follow(after.surface(key), pulse).deflection_deg)
        neutral = float(Rig(before).follow(surface, 1500.0).deflection_deg)
        assert now == pytest.approx(was - neutral, abs=0.25)


def test_a_linkage_that_hardly_moves_still_has_a_rate() -> None:
    data = example_data()
    data["surfaces"][2]["linkage"] = {"kind": "measured", "points": [[1000, -0.01], [2000, 0.01]]}
    linkage = as_bought(Setup.model_validate(data)).surfaces[2].linkage
    assert linkage.kind == "unmeasured"
    assert linkage.deg_per_1000_us == 1.0


def test_bought_twice_is_the_same() -> None:
    once = as_bought(example())
    assert as_bought(once) == once
