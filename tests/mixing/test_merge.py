"""Merging two edits of one setup: by cases, and by properties over random edits."""

import json
from collections.abc import Callable
from typing import Any, Literal

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from mixing import Merged, Setup, SetupError, merge
from mixing.places import take_apart

from .example import example, example_data

BASE = example()
Data = dict[str, Any]
Edit = Callable[[Data], object]


def edited(*edits: Edit) -> Setup:
    data = example_data()
    for edit in edits:
        edit(data)
    return Setup.from_text(json.dumps(data))


def coupling(data: Data, control: str, channel: int, phase: str | None = None) -> Data:
    return next(c for c in data["couplings"] if (c["control"], c["channel"], c["phase"]) == (control, channel, phase))


def part(data: Data, kind: str, key: str) -> Data:
    return next(entry for entry in data[kind] if entry["key"] == key)


def end_value(control: str, channel: int, value: float) -> Edit:
    return lambda data: coupling(data, control, channel)["stations"][0].__setitem__(1, value)


def paths(merged: Merged) -> list[str]:
    return [conflict.path for conflict in merged.conflicts]


def without(kind: str, key: str) -> Edit:
    return lambda data: data[kind].remove(part(data, kind, key))


def without_control(key: str) -> Edit:
    def edit(data: Data) -> None:
        without("controls", key)(data)
        data["couplings"] = [c for c in data["couplings"] if c["control"] != key]
        for c in data["couplings"]:
            c["fades"] = [f for f in c["fades"] if f["control"] != key]

    return edit


def test_edits_of_different_things_come_together() -> None:
    lever = end_value("lever", 6, 90)

    def chord(data: Data) -> None:
        part(data, "surfaces", "elevator").update(chord_mm=50)

    def expo(data: Data) -> None:
        coupling(data, "lever", 6).update(expo_pct=10)

    merged = merge(BASE, edited(lever), edited(chord, expo))
    assert merged == Merged(edited(lever, chord, expo), ())


def test_one_field_to_two_values_is_a_conflict() -> None:
    merged = merge(BASE, edited(end_value("lever", 6, 90)), edited(end_value("lever", 6, 100)))
    assert merged.setup is None
    (conflict,) = merged.conflicts
    assert (conflict.path, conflict.label) == ("couplings/lever/6/*/stations", "Right flap, Left lever")
    assert conflict.base == "95 % at −100, 0 % at +100"
    assert conflict.ours == "90 % at −100, 0 % at +100"
    assert conflict.theirs == "100 % at −100, 0 % at +100"
    assert conflict.why


def test_the_same_change_on_both_sides_is_fine() -> None:
    both = end_value("lever", 6, 90)

    def ours(data: Data) -> None:
        data.update(remarks="ours")

    assert merge(BASE, edited(both, ours), edited(both)) == Merged(edited(both, ours), ())


@pytest.mark.parametrize("choice", ["ours", "theirs"])
def test_removed_against_edited(choice: Literal["ours", "theirs"]) -> None:
    ours = edited(lambda data: data["couplings"].remove(coupling(data, "roll", 5)))
    theirs = edited(end_value("roll", 5, -25))
    merged = merge(BASE, ours, theirs)
    assert paths(merged) == ["couplings/roll/5/*"]
    assert merged.conflicts[0].ours == "none"
    assert (
        merge(BASE, ours, theirs, choices={"couplings/roll/5/*": choice}).setup
        == {"ours": ours, "theirs": theirs}[choice]
    )


def test_theirs_couples_what_ours_removed() -> None:
    ours = edited(without_control("power"))
    new = {"control": "power", "channel": 5, "phase": None, "stations": [[-100, 0], [100, 5]]}
    theirs = edited(lambda data: data["couplings"].append(new))
    merged = merge(BASE, ours, theirs)
    assert paths(merged) == ["controls/power", "couplings/power/5/*"]
    assert "right slider" in merged.conflicts[1].why
    dropped = merge(BASE, ours, theirs, choices=dict.fromkeys(paths(merged), "ours"))
    assert dropped.setup == ours
    kept = merge(BASE, ours, theirs, choices={"controls/power": "theirs"})
    assert kept.setup is not None
    assert {control.key for control in kept.setup.controls} == {control.key for control in BASE.controls}


def moved_elevator(data: Data) -> None:
    data["channels"].append({**data["channels"][3], "number": 8, "label": "Elevator"})
    part(data, "surfaces", "elevator")["channel"] = 8


@pytest.mark.parametrize(
    ("edit", "path"),
    [
        (end_value("pitch", 4, 70), "couplings/pitch/4/*/stations"),
        (lambda d: d["channels"][3].update(reversed=True), "channels/4/reversed"),
        (lambda d: d["phases"][1]["stance"].update({"4": 3}), "phases/thermal/stance/4"),
        (lambda d: d["couplings"].remove(coupling(d, "lever", 4)), "couplings/lever/4/*"),
        (lambda d: part(d, "surfaces", "rudder").update(channel=4), "surfaces/rudder/channel"),
    ],
)
def test_what_a_channel_serves_against_any_change_of_it(edit: Edit, path: str) -> None:
    """Ours plugs the elevator elsewhere; theirs still thinks of it on channel 4."""
    ours, theirs = edited(moved_elevator), edited(edit)
    merged = merge(BASE, ours, theirs)
    assert path in paths(merged)
    assert merge(BASE, theirs, ours).setup is None
    assert merge(BASE, ours, theirs, choices=dict.fromkeys(paths(merged), "theirs")).setup is not None


@pytest.mark.parametrize(
    "edit",
    [
        lambda d: d["channels"][4].update(reversed=True),
        lambda d: d["phases"][1]["stance"].update({"6": 3}),
        end_value("roll", 5, 60),
        lambda d: part(d, "surfaces", "elevator").update(chord_mm=44),
        lambda d: d.update(remarks="windy"),
    ],
)
def test_a_plug_that_moved_is_no_matter_to_the_rest_of_the_model(edit: Edit) -> None:
    ours, theirs = edited(moved_elevator), edited(edit)
    assert merge(BASE, ours, theirs) == Merged(edited(moved_elevator, edit), ())
    assert merge(BASE, theirs, ours) == Merged(edited(moved_elevator, edit), ())


def test_both_plugging_something_into_one_channel() -> None:
    def second(key: str) -> Edit:
        return lambda d: d["surfaces"].append({**part(d, "surfaces", "rudder"), "key": key, "label": key, "channel": 4})

    merged = merge(BASE, edited(second("tab")), edited(second("spoiler")))
    assert paths(merged) == ["surfaces/spoiler", "surfaces/tab"]


def test_both_serve_alike_and_change_different_things() -> None:
    ours = edited(moved_elevator, lambda d: d["channels"][3].update(reversed=True))
    theirs = edited(moved_elevator, lambda d: d["channels"][3].update(centre_us=1510))
    assert merge(BASE, ours, theirs).setup is not None


def test_phases_on_one_switch_position_are_a_conflict_of_both() -> None:
    def landing(key: str) -> Edit:
        return lambda d: d["phases"].append(
            {"key": key, "label": key, "control": "flightphase", "position": 100, "stance": {"6": 20}}
        )

    ours, theirs = edited(landing("launch")), edited(landing("landing"))
    merged = merge(BASE, ours, theirs)
    assert paths(merged) == ["phases/landing", "phases/launch"]
    assert merge(BASE, ours, theirs, choices=dict.fromkeys(paths(merged), "ours")).setup == ours


def test_limits_that_fit_only_apart() -> None:
    ours = edited(lambda d: d["balance"].update(cg_low_mm=101))
    theirs = edited(lambda d: d["balance"].update(cg_high_mm=95))
    merged = merge(BASE, ours, theirs)
    assert paths(merged) == ["balance/cg_high_mm", "balance/cg_low_mm"]
    assert "not valid" in merged.conflicts[0].why
    assert merge(BASE, ours, theirs, choices=dict.fromkeys(paths(merged), "theirs")).setup == theirs


def test_order_of_lists_is_kept_from_the_side_that_changed_it() -> None:
    ours = edited(lambda d: d["surfaces"].reverse())
    theirs = edited(lambda d: d["surfaces"].append({**part(d, "surfaces", "rudder"), "key": "tab", "channel": 5}))
    merged = merge(BASE, ours, theirs).setup
    assert merged is not None
    keys = [surface.key for surface in merged.surfaces]
    assert [key for key in keys if key != "tab"] == [surface.key for surface in ours.surfaces]
    assert merge(BASE, ours, BASE) == Merged(ours, ())


def test_two_different_first_phases_are_a_conflict() -> None:
    def first(key: str) -> Edit:
        return lambda d: d["phases"].insert(
            0, {"key": key, "label": key, "control": "flightphase", "position": 100 if key == "launch" else 50}
        )

    def positions(data: Data) -> None:
        part(data, "controls", "flightphase").update(positions=[-100, 0, 50, 100])

    merged = merge(BASE, edited(positions, first("launch")), edited(positions, first("landing")))
    assert paths(merged) == ["first_phase"]


def test_a_choice_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match='"mine"; give "ours" or "theirs"'):
        merge(BASE, BASE, BASE, choices={"remarks": "mine"})  # type: ignore[dict-item]


# -- properties over random edits of the example -----------------------------------------------------------------------


Draw = st.DrawFn


def _couple(draw: Draw, data: Data, number: int) -> None:
    row = draw(st.sampled_from(data["couplings"]))
    fades = [{"control": c, "stations": [[-100, 10 * number], [100, 100]]} for c in ("yaw", "power")[:number]]
    row.update(
        draw(st.sampled_from([{"expo_pct": 10 * number}, {"fades": fades}, {"stations": [[0, number], [9, 9]]}]))
    )


def _set_channel(draw: Draw, data: Data, number: int) -> None:
    values = [{"reversed": True}, {"centre_us": 1500 + number}, {"failsafe": number}]
    draw(st.sampled_from(data["channels"])).update(draw(st.sampled_from(values)))


def _build(draw: Draw, data: Data, number: int) -> None:
    values = [{"chord_mm": 40 + number}, {"measure_at": "tip"}, {"stop_up_deg": 20 + number}]
    draw(st.sampled_from(data["surfaces"])).update(draw(st.sampled_from(values)))


def _stand(draw: Draw, data: Data, number: int) -> None:
    draw(st.sampled_from(data["phases"]))["stance"] = {str(1 + number): 10 + number}


def _set_control(draw: Draw, data: Data, number: int) -> None:
    values = [{"label": f"Label {number}"}, {"rest": 100}, {"uses": [{"purpose": "other", "full": 100}]}]
    draw(st.sampled_from(data["controls"])).update(draw(st.sampled_from(values)))


def _remove(draw: Draw, data: Data, number: int) -> None:
    entries = data[draw(st.sampled_from(["controls", "channels", "surfaces", "devices", "phases", "couplings"]))]
    entries.remove(draw(st.sampled_from(entries)))


def _plug(draw: Draw, data: Data, number: int) -> None:
    draw(st.sampled_from(data["surfaces"]))["channel"] = draw(st.sampled_from(data["channels"]))["number"]


def _add(draw: Draw, data: Data, number: int) -> None:
    control, phase = (
        draw(st.sampled_from(["lever", "power", "yaw"])),
        draw(st.sampled_from([None, "cruise", "thermal"])),
    )
    data["couplings"].append({**draw(st.sampled_from(data["couplings"])), "control": control, "phase": phase})


def _reverse(draw: Draw, data: Data, number: int) -> None:
    data[draw(st.sampled_from(["controls", "surfaces", "phases"]))].reverse()


def _note(draw: Draw, data: Data, number: int) -> None:
    values = [
        ("signal", "step_pct", 0.5 + number),
        ("balance", "cg_low_mm", 90 + number),
        ("balance", "cg_datum", "nose"),
    ]
    kind, field, value = draw(st.sampled_from(values))
    data[kind][field] = value


_EDITS = [_couple, _set_channel, _build, _stand, _set_control, _remove, _remove, _plug, _add, _reverse, _note]


@st.composite
def sides(draw: st.DrawFn) -> Setup:
    """The example after up to four random edits that leave it valid."""
    data, setup = example_data(), BASE
    for _ in range(draw(st.integers(0, 4))):
        trial = json.loads(json.dumps(data))
        edit = draw(st.sampled_from(_EDITS))
        if not all(trial[kind] for kind in ("couplings", "channels", "surfaces", "phases", "devices")):
            continue
        edit(draw, trial, draw(st.integers(0, 3)))
        try:
            setup = Setup.from_text(json.dumps(trial))
        except SetupError:
            continue
        data = trial
    return setup


@settings(max_examples=40)
@given(sides(), sides())
def test_an_unchanged_side_gives_the_other(start: Setup, changed: Setup) -> None:
    assert merge(start, start, changed) == Merged(changed, ())
    assert merge(start, changed, start) == Merged(changed, ())
    assert merge(start, changed, changed) == Merged(changed, ())


@settings(max_examples=60)
@given(sides(), sides(), sides())
def test_merging_is_the_same_from_either_side(base: Setup, ours: Setup, theirs: Setup) -> None:
    there, back = merge(base, ours, theirs), merge(base, theirs, ours)
    assert [(c.path, c.base, c.ours, c.theirs) for c in there.conflicts] == [
        (c.path, c.base, c.theirs, c.ours) for c in back.conflicts
    ]
    assert (there.setup is None) == (back.setup is None) == bool(there.conflicts)
    if there.setup is not None and back.setup is not None:
        assert take_apart(there.setup).values == take_apart(back.setup).values


@settings(max_examples=60)
@given(sides(), sides(), sides(), st.sampled_from(["ours", "theirs"]))
def test_nothing_is_lost_and_every_conflict_can_be_decided(
    base: Setup, ours: Setup, theirs: Setup, choice: Literal["ours", "theirs"]
) -> None:
    """Every change of the two sides is in the result, or was decided; deciding all one way always ends in a setup."""
    choices: dict[str, Literal["ours", "theirs"]] = {}
    merged = merge(base, ours, theirs)
    while merged.setup is None:
        new = set(paths(merged)) - choices.keys()
        assert new, merged.conflicts
        choices.update(dict.fromkeys(new, choice))
        merged = merge(base, ours, theirs, choices=choices)
    made = take_apart(merged.setup).values
    start = take_apart(base).values
    for side in (take_apart(ours).values, take_apart(theirs).values):
        for place in {**start, **side}:
            if side.get(place) != start.get(place):
                decided = any(choice in ("/".join(place[:n]) for n in range(1, 7)) for choice in choices)
                assert decided or made.get(place) == side.get(place), place


def test_the_order_of_uses_is_that_of_the_side_that_changed_it() -> None:
    """Uses are a list of the document: who turned them round keeps that, whatever else the other side did."""

    def two(data: Data) -> None:
        part(data, "controls", "lever")["uses"] = [
            {"purpose": "brake", "full": -100},
            {"purpose": "other", "full": 100},
        ]

    def turned(data: Data) -> None:
        two(data)
        part(data, "controls", "lever")["uses"].reverse()

    def named(data: Data) -> None:
        two(data)
        part(data, "controls", "lever")["label"] = "Brake lever"

    for ours, theirs in ((turned, named), (named, turned)):
        joined = merge(edited(two), edited(ours), edited(theirs)).setup
        assert joined is not None
        assert [use.purpose for use in joined.control("lever").uses] == ["other", "brake"]
        assert joined.control("lever").label == "Brake lever"


def test_a_fault_of_the_balance_is_no_conflict_of_anything_else() -> None:
    """One raises the lower end, the other lowers the upper one: together the range is upside down."""
    ours = edited(lambda data: data["balance"].update(cg_low_mm=BASE.balance.cg_high_mm), end_value("lever", 6, 90))
    theirs = edited(lambda data: data["balance"].update(cg_high_mm=BASE.balance.cg_low_mm))
    assert set(paths(merge(BASE, ours, theirs))) == {"balance/cg_low_mm", "balance/cg_high_mm"}
