"""How much roll is left with the brakes out."""

from typing import Any

import numpy as np
import pytest

from mixing import PositionError, Rig, Setup, authority, authority_left, throw_mm

from .building import coupling, fade, left_and_right, lever, phase, setup, stick, surface, switch
from .example import example


def winged(*couplings: dict[str, Any], stop_up_deg: float = 80, **parts: Any) -> Setup:
    return setup(
        **{
            "controls": [stick("roll", "roll"), lever()],
            "surfaces": left_and_right("aileron", 1, 2, stop_up_deg=stop_up_deg),
            "couplings": [
                coupling("roll", 1, -40, 40),
                coupling("roll", 2, 40, -40),
                *couplings,
            ],
            **parts,
        }
    )


def test_nothing_is_taken_where_the_brake_does_nothing() -> None:
    assert authority(winged()) == ((-100.0, 1.0), (100.0, 1.0))


def test_a_fade_takes_what_it_says() -> None:
    made = winged(
        controls=[stick("roll", "roll"), lever(rest=50)],
        couplings=[
            coupling("roll", number, -sign, sign, fades=[fade("lever", 25, 50, 100)])
            for number, sign in ((1, 5), (2, -5))
        ],
    )
    rows = authority(made)
    assert [row.position for row in rows] == [-100, 0, 50, 100]
    # Throws of at most 1.5 degrees are as good as straight.
    assert [row.fraction for row in rows] == pytest.approx([0.25 / 0.75, 0.5 / 0.75, 1, 1 / 0.75], rel=1e-4)


def test_the_stop_takes_the_rest() -> None:
    """With 45 % of brake the up-going aileron would stand at 25.5 degrees; its stop is at 20."""
    made = winged(coupling("lever", 1, -45, 0, 0), coupling("lever", 2, -45, 0, 0), stop_up_deg=20)
    full = throw_mm(deflection_deg=12, chord_mm=50) * 4
    up, down = throw_mm(deflection_deg=[20, 1.5], chord_mm=50)
    rows = dict(authority(made))
    assert rows == pytest.approx({-100.0: 2 * (up - down) / full, 0.0: 1.0, 100.0: 1.0})


def test_the_limit_of_a_channel_takes_too() -> None:
    low = [{"number": n, "label": str(n), "low_us": 1300, "high_us": 2100} for n in (1, 2)]
    made = winged(coupling("lever", 1, -45, 0, 0), coupling("lever", 2, -45, 0, 0), channels=low)
    assert dict(authority(made))[-100.0] < 0.5


def test_what_serves_counts_with_its_sign() -> None:
    """Flaps that help count as much as they move; flaps that go the wrong way count against it."""

    def made(helping: float) -> Setup:
        return winged(
            surfaces=[*left_and_right("aileron", 1, 2), *left_and_right("flap", 3, 4)],
            couplings=[
                coupling("roll", 1, -10, 10),
                coupling("roll", 2, 10, -10),
                coupling("roll", 3, -helping, helping, fades=[fade("lever", 0, 100)]),
                coupling("roll", 4, helping, -helping, fades=[fade("lever", 0, 100)]),
            ],
        )

    assert dict(authority(made(10)))[-100.0] == pytest.approx(0.5)
    assert dict(authority(made(-5)))[-100.0] == pytest.approx(2.0, rel=1e-3)


def test_other_purposes_and_no_such_control() -> None:
    made = setup(
        controls=[stick("pitch", "pitch"), lever("camber", uses=[{"purpose": "camber", "full": -100}])],
        surfaces=[surface("elevator", role="elevator")],
        couplings=[coupling("pitch", 1, 40, -40, fades=[fade("camber", 50, 100)])],
    )
    assert dict(authority(made, "pitch", "camber"))[-100.0] == pytest.approx(0.5, rel=0.01)
    assert authority(made) == ()
    assert authority(made, "pitch", "pitch") == ()
    assert authority(made.changed(couplings=[]), "pitch", "camber") == ()


def test_a_phase_is_looked_at_by_name() -> None:
    made = winged(
        coupling("roll", 1, -40, 40, phase="landing", fades=[fade("lever", 20, 100)]),
        coupling("roll", 2, 40, -40, phase="landing", fades=[fade("lever", 20, 100)]),
        controls=[stick("roll", "roll"), lever(), switch("mode")],
        phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
    )
    assert dict(authority(made))[-100.0] == 1.0
    assert dict(authority(made, phase="landing"))[-100.0] == pytest.approx(0.2, rel=0.02)
    with pytest.raises(PositionError, match='no phase "nosuch"'):
        authority(made, phase="nosuch")


def test_a_brake_that_chooses_the_phase_is_looked_at_in_the_phase_of_each_position() -> None:
    made = setup(
        controls=[stick("roll", "roll"), switch("mode", (-100, 100), uses=[{"purpose": "brake", "full": 100}])],
        surfaces=left_and_right("aileron", 1, 2),
        phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
        couplings=[
            coupling("roll", 1, -40, 40), coupling("roll", 2, 40, -40),
            coupling("roll", 1, -20, 20, phase="landing"), coupling("roll", 2, 20, -20, phase="landing"),
        ],
    )  # fmt: skip
    rows = authority(made)
    assert [row.position for row in rows] == [-100, 100]
    assert rows[1].fraction == pytest.approx(0.5, abs=0.01)
    assert authority(made, phase="cruise") == authority(made, phase="landing") == rows


@pytest.mark.parametrize("surfaces", [[], [surface()]])
def test_where_no_surface_serves_there_is_nothing_to_take(surfaces: list[Any]) -> None:
    made = setup(controls=[stick("roll", "roll"), lever()], surfaces=surfaces, couplings=[coupling("roll", 1, -9, 9)])
    assert authority(made) == ()


def test_a_switch_has_its_positions() -> None:
    step = switch("step", (-100, 0, 100), rest=100, uses=[{"purpose": "brake", "full": -100}])
    made = winged(controls=[stick("roll", "roll"), step], couplings=[coupling("roll", 1, 0, 40)])
    assert [row.position for row in authority(made)] == [-100, 0, 100]


def test_the_example_at_full_brake() -> None:
    rows = dict(authority(example()))
    assert list(rows) == [-100, 0, 100]
    assert rows[100.0] == rows[0.0] == 1.0
    frame = Rig(example()).at({"roll": np.array([100, -100]), "lever": -100})
    kept = np.clip(frame.deflection_deg["right_aileron"], -30, 30)
    throws = throw_mm(deflection_deg=kept, chord_mm=42)
    still = Rig(example()).at({"roll": np.array([100, -100])}).throw_mm["right_aileron"]
    assert rows[-100.0] == pytest.approx((throws[1] - throws[0]) / (still[1] - still[0]))
    assert 0.5 < rows[-100.0] < 0.6


def test_left_where_everything_stands() -> None:
    """At the stations it is what the table says; with another control moved it counts from there."""
    setup = example()
    for purpose in ("roll", "pitch", "yaw"):
        for position, fraction in authority(setup, purpose):
            assert authority_left(setup, {"lever": position})[purpose] == pytest.approx(fraction)
    thermal = setup.phases[0].position
    for position, fraction in authority(setup, phase=setup.phases[0].key):
        left = authority_left(setup, {"lever": position, setup.phases[0].control: thermal})
        assert left["roll"] == pytest.approx(fraction)
    given = {"lever": 33.0, "pitch": 50.0}
    assert authority_left(setup, given)["roll"] == authority_left(setup, {**given, "roll": -80})["roll"]


def test_left_of_what_is_not_there() -> None:
    setup = example()
    assert authority_left(setup, {}, ["power", "camber"], "power") == {}
    still = setup.changed(couplings=())
    assert authority_left(still, {}) == {}
    with pytest.raises(PositionError):
        authority_left(setup, {"roll": 0, "wheel": 3})
    with pytest.raises(PositionError):
        authority_left(setup, {"wheel": 3}, against="power")


def test_an_unknown_phase_is_refused_even_where_nothing_rolls() -> None:
    with pytest.raises(PositionError, match="no phase"):
        authority(setup(controls=[stick()], surfaces=[surface()]), phase="nowhere")
