"""A sheet that is tried in one setting after the other says in each what it would say in that one alone."""

from collections.abc import Callable

import pytest

from hangar.sheets.checks import phase_checks
from hangar.sheets.content import Contents
from hangar.sheets.enter import dial_in_of
from hangar.sheets.labels import with_short_labels
from hangar.sheets.lost import failsafe_check
from hangar.sheets.parts import channel_rows, stance_table
from hangar.sheets.spacings import SPACINGS
from mixing import Conventions, Setup
from tests.hangar.sheets import layouts


@pytest.mark.parametrize("name", ["conventional", "long names"])
def test_what_settings_share_is_what_each_would_compute(name: str) -> None:
    make: Callable[[], Setup] = layouts.ONE_PAGE[name]
    setup = make()
    contents = Contents(setup)
    for spacing in SPACINGS:
        content = contents.at(spacing)
        assert content.channels == channel_rows(setup, spacing.label)
        assert content.dial_in == dial_in_of(setup, Conventions(), spacing.label)
        short = with_short_labels(setup, spacing.label)
        assert content.phases == list(phase_checks(short))
        assert content.failsafe == failsafe_check(short)
        assert content.stances == stance_table(short)


@pytest.mark.parametrize("name", ["phase_checks", "failsafe_check", "stance_table", "stowed", "load_rows"])
def test_short_names_are_computed_once(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Setup] = []

    def counted(setup: Setup) -> tuple[()]:
        asked.append(setup)
        return ()

    monkeypatch.setattr(f"hangar.sheets.content.{name}", counted)
    contents = Contents(layouts.conventional())
    for spacing in SPACINGS:
        contents.at(spacing)
    assert len(asked) == 1
