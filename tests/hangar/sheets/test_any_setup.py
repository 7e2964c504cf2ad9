"""Whatever setup a member records can be drawn and printed: random valid ones, made by the strategies of the rig."""

from hypothesis import given, settings

from hangar.pictures.behind import from_behind
from hangar.pictures.response import throw_plot
from hangar.sheets.content import content_of
from hangar.sheets.spacings import SPACINGS
from mixing import Rig, Setup
from tests.hangar.pictures.reading import parsed
from tests.mixing.strategies import setups


@settings(max_examples=25)
@given(setup=setups())
def test_any_setup_has_a_sheet(setup: Setup) -> None:
    for spacing in (SPACINGS[0], SPACINGS[-2]):
        content = content_of(setup, spacing)
        assert len(content.channels) == len(setup.channels)
        assert all(len(row.cells) == 5 for group in content.groups for row in group.rows)
        assert content.lines >= 0


@settings(max_examples=25)
@given(setup=setups())
def test_any_setup_can_be_drawn(setup: Setup) -> None:
    for control in setup.controls:
        parsed(throw_plot(setup, control.key))
    frame = Rig(setup).at({})
    parsed(from_behind(setup, {key: (float(throw),) for key, throw in frame.throw_mm.items()}, title="At rest"))
