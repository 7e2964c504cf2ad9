"""Two edits of a draft that is no setup yet are joined by its parts, and no part is lost."""

import json
from typing import Any

from hangar.setups.joining import Data, joined
from tests.factories import make_setup


def draft(**changed: Any) -> Data:
    """Two channels have one number, which is typed wrong and is not told apart until it is mended."""
    data = make_setup().data()
    return {**data, "channels": [data["channels"][0], dict(data["channels"][0], label="Typed twice")], **changed}


def both(base: Data, ours: Data, theirs: Data) -> Data | None:
    return joined(*(json.dumps(one) for one in (base, ours, theirs)))


def test_of_two_parts_of_one_name_both_stay() -> None:
    together = both(draft(), draft(remarks="ours"), draft(name="Theirs"))
    assert together == draft(remarks="ours", name="Theirs")


def test_each_of_two_parts_of_one_name_may_change() -> None:
    first, second = draft()["channels"]
    together = both(draft(), draft(channels=[first, {**second, "label": "Knob"}]), draft(name="Theirs"))
    assert together == draft(channels=[first, {**second, "label": "Knob"}], name="Theirs")


def test_one_thing_changed_twice_is_for_a_person_to_decide() -> None:
    first, second = draft()["channels"]
    ours, theirs = (draft(channels=[first, {**second, "label": label}]) for label in ("Knob", "Lever"))
    assert both(draft(), ours, theirs) is None
