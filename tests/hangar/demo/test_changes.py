"""Changes of a history file: values at their places, new entries, entries taken away."""

import pytest

from hangar.demo.changes import changed
from hangar.demo.errors import DemoError
from mixing import SetupError
from tests.factories import make_setup


def test_a_value_is_replaced_and_the_rest_stays() -> None:
    setup = changed(make_setup(), {"channels/2/failsafe": "signal_off", "remarks": "quiet"})
    assert setup.channel(2).failsafe == "signal_off"
    assert setup == make_setup().changed(channels=setup.channels, remarks="quiet")


def test_an_entry_is_added_with_its_fields_and_collections() -> None:
    new = {"stations": [[-100, 5], [100, 0]], "expo_pct": 0, "fades": {"pitch": [[-100, 0], [100, 100]]}}
    couplings = changed(make_setup(), {"couplings/power/1/*": new}).couplings
    assert [coupling.place for coupling in couplings] == [("pitch", 1, ""), ("power", 1, ""), ("power", 2, "")]
    added = couplings[1]
    assert added.stations == ((-100, 5), (100, 0))
    assert added.fades[0].control == "pitch"


def test_a_fade_is_added_to_a_coupling_that_has_none() -> None:
    setup = changed(make_setup(), {"couplings/pitch/1/*/fades/power": [[-100, 100], [100, 50]]})
    assert setup.couplings[0].fades[0].control == "power"


def test_null_takes_an_entry_away() -> None:
    assert [c.control for c in changed(make_setup(), {"couplings/power/2/*": None}).couplings] == ["pitch"]


@pytest.mark.parametrize("place", ["channels/9/failsafe", "couplings/pitch/1/*/statoins", "signal/steps", "nowhere/at"])
def test_a_place_that_the_setup_does_not_have_is_named(place: str) -> None:
    with pytest.raises((DemoError, SetupError), match=place.replace("*", r"\*")):
        changed(make_setup(), {place: 1})


def test_what_does_not_fit_together_is_refused() -> None:
    with pytest.raises(SetupError, match="there is no such channel"):
        changed(make_setup(), {"couplings/pitch/5/*": {"stations": [[-100, 0], [100, 1]], "expo_pct": 0}})
