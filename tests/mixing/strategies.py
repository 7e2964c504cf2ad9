"""Random valid setups: shared controls, fades, phases, switches, reversed channels, limits, all kinds of linkage.

`setups()` draws whole documents, `positions_of(setup)` a position for every control, `any_phase(setup)` a phase.
The numbers are mostly round ones, so that stations of different controls coincide as they do in real setups.
"""

from itertools import pairwise
from typing import Any, get_args

import hypothesis.strategies as st
from hypothesis import reject

from mixing import Setup, SetupError
from mixing.document import NARROWEST_PCT, DeviceKind, Purpose, Role

Draw = st.DrawFn
Data = dict[str, Any]

_ROUND_POSITIONS = st.integers(-20, 20).map(lambda fives: 5.0 * fives)
POSITIONS = st.one_of(_ROUND_POSITIONS, st.floats(-100, 100, width=32))
TRAVELS = st.one_of(st.integers(-30, 30).map(lambda fives: 5.0 * fives), st.floats(-150, 150, width=32))
FACTORS = st.one_of(st.sampled_from([0.0, 0.0, 50.0, 100.0, 100.0]), st.floats(0, 100, width=32))


def _apart(xs: list[float]) -> bool:
    return all(after - before >= NARROWEST_PCT for before, after in pairwise(xs))


def _stations(values: st.SearchStrategy[float], most: int) -> st.SearchStrategy[list[list[float]]]:
    xs = st.lists(POSITIONS, min_size=2, max_size=most, unique=True).map(sorted).filter(_apart)
    return xs.flatmap(
        lambda x: st.lists(values, min_size=len(x), max_size=len(x)).map(
            lambda y: [list(pair) for pair in zip(x, y, strict=True)]
        )
    )


@st.composite
def measured(draw: Draw, chord_mm: float) -> Data:
    """Readings of a ruler, rising or falling with the pulse, not always as far as the limits."""
    pulses = sorted(draw(st.lists(st.integers(85, 215).map(lambda n: 10.0 * n), min_size=2, max_size=5, unique=True)))
    steps = draw(st.lists(st.floats(0.5, 25, width=32), min_size=len(pulses), max_size=len(pulses)))
    throws = [sum(steps[: index + 1]) - sum(steps) / 2 for index in range(len(steps))]
    largest = max(abs(throw) for throw in throws)
    scale = min(1.0, 1.9 * chord_mm / largest) * draw(st.sampled_from([1.0, -1.0]))
    return {"kind": "measured", "points": [[p, scale * t] for p, t in zip(pulses, throws, strict=True)]}


@st.composite
def four_bars(draw: Draw) -> Data:
    """Four-bars that close; fast servos turn the arm in line with the rod, long arms run out of reach."""
    return {
        "kind": "four_bar",
        "arm_mm": draw(st.floats(5, 20)),
        "horn_mm": draw(st.floats(5, 20)),
        "pivot_mm": [draw(st.floats(25, 160)), draw(st.floats(-10, 10))],
        "arm_neutral_deg": draw(st.sampled_from([0.0, 0.0, -30.0, 20.0, 45.0])),
        "horn_neutral_deg": draw(st.sampled_from([0.0, 0.0, -25.0, 15.0])),
        "neutral_us": draw(st.sampled_from([1500.0, 1500.0, 1400.0])),
        "servo_deg_per_1000_us": draw(st.sampled_from([60.0, 90.0, 120.0, 180.0, 250.0])),
        "longer_pulse": draw(st.sampled_from(["pushes", "pulls"])),
        "push": draw(st.sampled_from(["lowers", "raises"])),
    }


def _unmeasured() -> st.SearchStrategy[Data]:
    return st.fixed_dictionaries(
        {
            "kind": st.just("unmeasured"),
            "deg_per_1000_us": st.sampled_from([40.0, 60.0, 100.0]),
            "longer_pulse": st.sampled_from(["lowers", "raises"]),
        }
    )


@st.composite
def _control(draw: Draw, index: int) -> Data:
    kind = draw(st.sampled_from(["stick", "stick", "lever", "knob", "switch"]))
    positions = None
    if kind == "switch":
        positions = sorted(draw(st.lists(_ROUND_POSITIONS, min_size=2, max_size=4, unique=True)))
    ends = (positions[0], positions[-1]) if positions else (-100.0, 100.0)
    purposes = draw(st.lists(st.sampled_from(get_args(Purpose)), max_size=2, unique=True))
    return {
        "key": f"control_{index}",
        "label": f"Control {index}",
        "kind": kind,
        "plus": draw(st.sampled_from(["right", "back", "forward", "up", "clockwise"])),
        "rest": draw(st.sampled_from(positions or [0.0, 0.0, -100.0, 100.0, 30.0])),
        "positions": positions,
        "uses": [{"purpose": purpose, "full": draw(st.sampled_from(ends))} for purpose in purposes],
    }


@st.composite
def _channel(draw: Draw, number: int) -> Data:
    centre = draw(st.sampled_from([1500.0, 1500.0, 1480.0, 1520.0]))
    return {
        "number": number,
        "label": f"Channel {number}",
        "reversed": draw(st.booleans()),
        "centre_us": centre,
        "low_us": centre - draw(st.sampled_from([600.0, 600.0, 500.0, 250.0])),
        "high_us": centre + draw(st.sampled_from([600.0, 600.0, 500.0, 250.0])),
        "failsafe": draw(st.sampled_from([None, "last_position", "signal_off", -100.0, 0.0, 40.0])),
    }


@st.composite
def _surface(draw: Draw, index: int, channel: int) -> Data:
    chord = draw(st.sampled_from([30.0, 42.0, 55.0, 80.0]))
    side = draw(st.sampled_from(["left", "right", "centre"]))
    return {
        "key": f"surface_{index}",
        "label": f"Surface {index}",
        "role": draw(st.sampled_from(get_args(Role))),
        "side": side,
        "pair": None if side == "centre" else draw(st.sampled_from([None, f"pair {(index + 1) // 2}"])),
        "channel": channel,
        "chord_mm": chord,
        "stop_up_deg": draw(st.sampled_from([10.0, 30.0, 60.0])),
        "stop_down_deg": draw(st.sampled_from([10.0, 30.0, 60.0])),
        "linkage": draw(st.one_of(measured(chord), four_bars(), _unmeasured())),
    }


@st.composite
def _device(draw: Draw, index: int, channel: int) -> Data:
    off, full = draw(st.sampled_from([(-100.0, 100.0), (-100.0, 100.0), (100.0, -100.0), (-80.0, 60.0)]))
    return {
        "key": f"device_{index}",
        "label": f"Device {index}",
        "kind": draw(st.sampled_from(get_args(DeviceKind))),
        "channel": channel,
        "off_pct": off,
        "full_pct": full,
    }


@st.composite
def _phases(draw: Draw, controls: list[Data], channels: list[Data]) -> list[Data]:
    switches = [control for control in controls if control["kind"] == "switch"]
    if not switches or not draw(st.booleans()):
        return []
    switch = draw(st.sampled_from(switches))
    positions = draw(st.lists(st.sampled_from(switch["positions"]), min_size=1, max_size=3, unique=True))
    numbers = [str(channel["number"]) for channel in channels]
    return [
        {
            "key": f"phase_{index}",
            "label": f"Phase {index}",
            "control": switch["key"],
            "position": position,
            "stance": draw(st.dictionaries(st.sampled_from(numbers), st.sampled_from([-20.0, 5.0, 12.5, 60.0]))),
            "transition_s": 0.5 * index,
        }
        for index, position in enumerate(positions)
    ]


@st.composite
def _coupling(draw: Draw, place: tuple[str, int, str | None], controls: list[Data], stations: int, fades: int) -> Data:
    control, channel, phase = place
    others = [other["key"] for other in controls if other["key"] != control]
    fading = draw(st.lists(st.sampled_from(others), max_size=fades, unique=True)) if others else []
    return {
        "control": control,
        "channel": channel,
        "phase": phase,
        "stations": draw(_stations(TRAVELS, stations)),
        "expo_pct": draw(st.sampled_from([0.0, 0.0, 0.0, 0.0, 30.0, -20.0])),
        "fades": [{"control": key, "stations": draw(_stations(FACTORS, 3))} for key in fading],
    }


@st.composite
def setups(draw: Draw, *, controls: int = 4, channels: int = 3, stations: int = 4, fades: int = 2) -> Setup:
    """A random valid setup with at most so many controls, channels, stations a response and fades a coupling."""
    movers = [draw(_control(index)) for index in range(draw(st.integers(min(2, controls), controls)))]
    lines = [draw(_channel(number)) for number in range(1, draw(st.integers(1, channels)) + 1)]
    surfaces: list[Data] = []
    devices: list[Data] = []
    for line in lines:
        if draw(st.sampled_from([True, True, True, False])):
            surfaces.extend(
                draw(_surface(len(surfaces) + extra, line["number"])) for extra in range(draw(st.integers(1, 2)))
            )
        else:
            devices.append(draw(_device(len(devices), line["number"])))
    phases = draw(_phases(movers, lines))
    places = st.tuples(
        st.sampled_from([control["key"] for control in movers]),
        st.sampled_from([line["number"] for line in lines]),
        st.sampled_from([None, None, *(phase["key"] for phase in phases)]),
    )
    fewest = min(len(movers) * len(lines), draw(st.integers(0, 4)))
    chosen = draw(st.lists(places, min_size=fewest, max_size=10, unique=True))
    data = {
        "balance": {"cg_datum": "nose", "cg_low_mm": 90, "cg_high_mm": 100, "loads": [_LOAD]},
        "controls": movers,
        "channels": lines,
        "surfaces": surfaces,
        "devices": devices,
        "phases": phases,
        "couplings": [draw(_coupling(place, movers, stations, fades)) for place in sorted(chosen, key=str)],
    }
    try:
        return Setup.model_validate(data)
    except SetupError:
        raise
    except ValueError:
        # Lengths of a four-bar that do not close: for its own tests, not for these.
        reject()


_LOAD = {"key": "battery", "label": "Battery", "mass_g": 1500, "cg_mm": 95}


def positions_of(setup: Setup) -> st.SearchStrategy[dict[str, float]]:
    """A position for every control: switches take theirs, the others anything from −100 to 100."""
    return st.fixed_dictionaries(
        {
            control.key: st.sampled_from(control.positions) if control.positions else POSITIONS
            for control in setup.controls
        }
    )


def any_phase(setup: Setup) -> st.SearchStrategy[str | None]:
    """The key of one of its phases, or None."""
    return st.sampled_from([None, *(phase.key for phase in setup.phases)])
