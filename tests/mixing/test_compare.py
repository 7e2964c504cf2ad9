"""What changed between two setups: places by identity, words, effects that the rig confirms."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from mixing import Change, Rig, Setup, as_built_changes, compare
from mixing.places import put_together, take_apart
from mixing.wording import throw_words

from .building import coupling as rolled
from .building import phase, setup, stick, surface, switch
from .example import example, example_data

BEFORE = example()
Data = dict[str, Any]


def edited(edit: Callable[[Data], object]) -> Setup:
    data = example_data()
    edit(data)
    return Setup.from_text(json.dumps(data))


def coupling(data: Data, control: str, channel: int) -> Data:
    return next(c for c in data["couplings"] if (c["control"], c["channel"], c["phase"]) == (control, channel, None))


def only_change(edit: Callable[[Data], object]) -> Change:
    changes = compare(BEFORE, edited(edit))
    assert len(changes) == 1, changes
    return changes[0]


def test_nothing_changed() -> None:
    assert compare(BEFORE, example()) == ()


def test_setups_are_equal_by_their_fields_even_after_use() -> None:
    other = example()
    Rig(BEFORE).at({"lever": [-100, 0]})
    Rig(other).at({"lever": [-100, 0]})
    assert other == BEFORE
    assert hash(other) == hash(BEFORE)


def test_apart_and_together_is_the_same_document() -> None:
    apart = take_apart(BEFORE)
    assert put_together(apart.values, apart.order).text() == BEFORE.text()


def test_end_value_of_a_coupling_says_the_throw_before_and_after() -> None:
    def edit(data: Data) -> None:
        coupling(data, "lever", 6)["stations"][0][1] = 100

    change = only_change(edit)
    was, now = (
        throw_words(float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"]), "flap")
        for setup in (BEFORE, edited(edit))
    )
    assert change == Change(
        path="couplings/lever/6/*/stations",
        label="Right flap, Left lever",
        before="95 % at −100, 0 % at +100",
        after="100 % at −100, 0 % at +100",
        effect=f"Right flap {was} → {now} with Left lever at −100",
        on="transmitter",
    )
    assert was != now


def test_phase_coupling_is_named_and_looked_at_in_its_phase() -> None:
    row = {"control": "lever", "channel": 4, "phase": "thermal", "stations": [[-100, 20], [100, 0]]}
    change = only_change(lambda data: data["couplings"].append(row))
    assert change.path == "couplings/lever/4/thermal"
    assert change.label == "Elevator, Left lever, thermal"
    assert (change.before, change.after) == ("none", "20 % at −100, 0 % at +100")
    assert change.effect == "Elevator 1.6 mm down → 2.6 mm down with Left lever at −100 in thermal"


def test_expo_that_leaves_the_ends_alone_is_seen_in_between() -> None:
    change = only_change(lambda data: coupling(data, "pitch", 4).update(expo_pct=60))
    assert change.label == "Elevator, Elevator stick: expo"
    assert (change.before, change.after) == ("20 %", "60 %")
    assert change.effect == "Elevator 5.9 mm up → 4.1 mm up with Elevator stick at +60"


def test_fade_is_looked_at_where_it_fades() -> None:
    def edit(data: Data) -> None:
        coupling(data, "roll", 1)["fades"][0]["stations"][0][1] = 20

    change = only_change(edit)
    assert change.path == "couplings/roll/1/*/fades/lever"
    assert "with Left lever at −100 and Aileron stick at +100" in change.effect


def test_a_response_that_is_faded_out_at_rest_is_looked_at_where_it_is_not() -> None:
    def made(end: float) -> Setup:
        faded = {**rolled("roll", 1, -end, end), "fades": [{"control": "rate", "stations": [[-100, 0], [100, 100]]}]}
        return setup(controls=[stick(), switch("rate", (-100, 100))], surfaces=[surface()], couplings=[faded])

    (change,) = compare(made(30), made(50))
    assert "Flap 7.8 mm down → 13.1 mm down with Rate at +100 and Roll stick at +100" in change.effect


def test_two_stances_are_told_each_with_its_own_surface() -> None:
    def made(one: float, other: float) -> Setup:
        return setup(
            controls=[switch("mode", (-100, 100))],
            surfaces=[surface(), surface("tab", 2)],
            phases=[phase("landing", "mode", -100, {"1": one, "2": other})],
        )

    assert [change.effect for change in compare(made(10, 10), made(30, 50))] == [
        "Flap 2.6 mm down → 7.8 mm down in landing",
        "Tab 2.6 mm down → 13.1 mm down in landing",
    ]


def test_removed_coupling_tells_what_is_lost() -> None:
    change = only_change(lambda data: data["couplings"].remove(coupling(data, "roll", 5)))
    assert change.after == "none"
    assert "Rudder 7.6 mm left → neutral with Aileron stick at −100" in change.effect


@pytest.mark.parametrize(
    ("edit", "path", "label", "texts", "effect"),
    [
        (
            lambda d: d["channels"][5].update(high_us=1900),
            "channels/6/high_us",
            "Channel 6, right flap: high limit",
            ("2100 µs", "1900 µs"),
            "Right flap 45.8 mm down → 38.5 mm down with Left lever at −100",
        ),
        (
            lambda d: d["channels"][3].update(failsafe=10),
            "channels/4/failsafe",
            "Channel 4, elevator: failsafe",
            ("keeps the last position", "10 %"),
            "Elevator where it was → 1.3 mm down when the signal is lost",
        ),
        (
            lambda d: d["phases"][1]["stance"].update({"6": 10}),
            "phases/thermal/stance/6",
            "Right flap, thermal: stance",
            ("8 %", "10 %"),
            "Right flap 3.8 mm down → 4.8 mm down in thermal",
        ),
        (
            lambda d: d["controls"][3].update(rest=0),
            "controls/lever/rest",
            "Left lever: position at rest",
            ("100 %", "0 %"),
            None,
        ),
        (
            lambda d: coupling(d, "power", 3)["stations"][1].__setitem__(1, 60),
            "couplings/power/3/*/stations",
            "Motor, Right slider",
            ("−100 % at −100, 100 % at +100", "−100 % at −100, 60 % at +100"),
            "Motor 100 % → 80 % with Right slider at +100",
        ),
        (
            lambda d: d["signal"].update(step_pct=0.5),
            "signal/step_pct",
            "Transmitter: step",
            ("1 %", "0.5 %"),
            "",
        ),
    ],
)
def test_entered_on_the_transmitter(
    edit: Callable[[Data], object], path: str, label: str, texts: tuple[str, str], effect: str | None
) -> None:
    change = only_change(edit)
    assert (change.path, change.label, change.on) == (path, label, "transmitter")
    assert (change.before, change.after) == texts
    assert effect is None or change.effect == effect


@pytest.mark.parametrize(
    ("edit", "path", "before", "after"),
    [
        (lambda d: d["surfaces"][0]["linkage"].update(arm_mm=12), "surfaces/right_aileron/linkage", "arm 11", "arm 12"),
        (lambda d: d["surfaces"][2]["linkage"]["points"][0].__setitem__(1, -15), "surfaces/elevator/linkage", "−14 mm at 1000 µs", "−15 mm at 1000 µs"),  # noqa: E501
        (lambda d: d["surfaces"][0].update(chord_mm=44), "surfaces/right_aileron/chord_mm", "42 mm", "44 mm"),
        (lambda d: d["surfaces"][0].update(stop_up_deg=25), "surfaces/right_aileron/stop_up_deg", "30°", "25°"),
        (lambda d: d["surfaces"][0].update(measure_at="tip"), "surfaces/right_aileron/measure_at", "widest", "tip"),
        (lambda d: d["surfaces"][0].update(neutral_ref="wing"), "surfaces/right_aileron/neutral_ref", "flush", "wing"),
        (lambda d: d["balance"].update(cg_low_mm=91), "balance/cg_low_mm", "90 mm", "91 mm"),
        (lambda d: d["balance"]["loads"][0].update(mass_g=2270), "balance/loads/small/mass_g", "2260 g", "2270 g"),
        (lambda d: d["balance"]["loads"].pop(), "balance/loads/large", "2340 g", "none"),
    ],
)  # fmt: skip
def test_as_built(edit: Callable[[Data], object], path: str, before: str, after: str) -> None:
    changes = as_built_changes(BEFORE, edited(edit))
    assert [change.path for change in changes] == [path]
    assert before in changes[0].before
    assert after in changes[0].after
    assert changes[0].on == "model"


def test_plug_moved_to_another_channel_is_done_at_the_model() -> None:
    def edit(data: Data) -> None:
        data["channels"].append({**data["channels"][3], "number": 8, "label": "Spare"})
        data["surfaces"][2]["channel"] = 8

    changes = {change.path: change for change in compare(BEFORE, edited(edit))}
    assert changes["surfaces/elevator/channel"].on == "model"
    assert changes["channels/8"].on == "transmitter"
    assert "Elevator 10.4 mm down → neutral with Elevator stick at −100" in changes["surfaces/elevator/channel"].effect


def test_labels_and_remarks_are_only_written_down() -> None:
    def edit(data: Data) -> None:
        data["remarks"] = "windy"
        data["surfaces"][0]["label"] = "Aileron, right"
        data["controls"][0]["uses"] = []
        data["balance"]["loads"][0]["label"] = "Tiny"

    changes = compare(BEFORE, edited(edit))
    assert {change.path: (change.label, change.on) for change in changes} == {
        "remarks": ("Remarks", "record"),
        "surfaces/right_aileron/label": ("Aileron, right: label", "record"),
        "controls/roll/uses/roll": ("Aileron stick: use for roll", "record"),
        "balance/loads/small/label": ("Tiny: label", "record"),
    }
    assert all(change.effect == "" for change in changes)


def test_order_of_lists_is_no_change_but_the_first_phase_is() -> None:
    assert compare(BEFORE, edited(lambda data: data["surfaces"].reverse())) == ()
    change = only_change(lambda data: data["phases"].reverse())
    assert (change.before, change.after) == ("Cruise", "Thermal")
    assert "Right flap neutral → 3.8 mm down with Phase switch at +100" in change.effect


def test_whole_surface_is_one_change_with_its_old_label() -> None:
    change = only_change(lambda data: data["surfaces"].pop())
    assert (change.path, change.label, change.after) == ("surfaces/left_flap", "Left flap", "none")
    assert change.effect == ""


def test_two_values_that_differ_never_read_alike() -> None:
    change = only_change(lambda data: data["surfaces"][0].update(chord_mm=42.00000001))
    assert change.before != change.after


def test_backwards_is_the_same_places() -> None:
    def edit(data: Data) -> None:
        data["couplings"].remove(coupling(data, "roll", 5))
        data["channels"][5].update(high_us=1900)

    there, back = compare(BEFORE, edited(edit)), compare(edited(edit), BEFORE)
    assert [(c.path, c.before, c.after) for c in there] == [(c.path, c.after, c.before) for c in back]


def test_a_phase_that_goes_tells_what_its_stance_did() -> None:
    def edit(data: Data) -> None:
        data["phases"].pop()
        data["couplings"] = [row for row in data["couplings"] if row["phase"] != "thermal"]

    changes = {change.path: change for change in compare(BEFORE, edited(edit))}
    assert changes["phases/thermal"].after == "none"
    assert changes["phases/thermal"].effect.startswith("Right flap 3.8 mm down → neutral in thermal; ")


def test_the_largest_difference_is_told_first_without_phases_too() -> None:
    def made(end: float) -> Setup:
        surfaces = [surface(), surface("big", 1, chord_mm=120)]
        return setup(controls=[stick()], surfaces=surfaces, couplings=[rolled("roll", 1, -20, end)])

    (change,) = compare(made(30), made(50))
    assert change.effect == (
        "Big 18.8 mm down → 31.3 mm down with Roll stick at +100; "
        "Flap 7.8 mm down → 13.1 mm down with Roll stick at +100"
    )


def test_a_linkage_that_turns_round_is_told_with_what_differs_only() -> None:
    change = only_change(lambda data: data["surfaces"][0]["linkage"].update(longer_pulse="pulls"))
    assert (change.before, change.after) == ("four-bar: a longer pulse pushes", "four-bar: a longer pulse pulls")


def test_a_new_surface_is_told_whole_and_names_its_channel_once() -> None:
    before = setup(controls=[stick()], surfaces=[surface()])
    (change,) = compare(before, before.changed(surfaces=[*before.surfaces, surface("new", 1)]))
    assert change.before == "none"
    assert change.after.startswith(
        "role flap, side centre, channel 1, chord 50 mm, stop up 80°, stop down 80°, linkage "
    )
    assert change.effect == ""


def test_an_arm_is_told_in_mm() -> None:
    change = only_change(lambda data: data["surfaces"][0]["linkage"].update(arm_mm=12))
    assert (change.before, change.after) == ("four-bar: arm 11 mm", "four-bar: arm 12 mm")


def test_what_is_gone_is_called_by_the_label_that_it_had() -> None:
    before = setup(controls=[stick()], surfaces=[surface(), surface("tail", 2, label="Air brake behind")])
    (change,) = compare(before, before.changed(surfaces=before.surfaces[:1]))
    assert (change.label, change.after) == ("Air brake behind", "none")


def test_a_phase_is_called_by_its_new_label() -> None:
    def edit(data: Data) -> None:
        data["phases"][1].update(label="Climb")
        data["phases"][1]["stance"]["6"] = 20

    effects = {change.path: change.effect for change in compare(BEFORE, edited(edit))}
    assert effects["phases/thermal/stance/6"].endswith(" in climb")


def test_a_general_response_is_told_where_no_phase_has_its_own() -> None:
    """The phases are new with this edit, and in the one at rest the stick has a response of its own."""
    parts: Data = {"controls": [stick(), switch("mode")], "surfaces": [surface()]}
    before = setup(**parts, couplings=[rolled("roll", 1, -20, 20)])
    after = setup(
        **parts,
        phases=[phase("cruise", "mode", -100), phase("thermal", "mode", 100)],
        couplings=[rolled("roll", 1, -30, 30), rolled("roll", 1, -50, 50, phase="cruise")],
    )
    changes = {change.path: change.effect for change in compare(before, after)}
    assert changes["couplings/roll/1/*/stations"].endswith(" in thermal")


def test_of_two_equal_differences_the_first_position_is_told_first() -> None:
    before, after = (
        setup(controls=[stick()], surfaces=[surface()], couplings=[rolled("roll", 1, -end, end)]) for end in (20, 40)
    )
    (change,) = compare(before, after)
    assert change.effect == (
        "Flap 5.2 mm up → 10.5 mm up with Roll stick at −100; Flap 5.2 mm down → 10.5 mm down with Roll stick at +100"
    )
