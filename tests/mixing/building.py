"""Small setups for tests, built from what matters to the test; all the rest is ordinary."""

from typing import Any

from mixing import Setup

Data = dict[str, Any]


def stick(key: str = "roll", purpose: str | None = None, **fields: Any) -> Data:
    """A stick that rests in the middle; `purpose` acts fully at +100."""
    uses = [] if purpose is None else [{"purpose": purpose, "full": 100}]
    label = key.replace("_", " ").capitalize() + " stick"
    return {"key": key, "label": label, "kind": "stick", "plus": "right", "rest": 0, "uses": uses, **fields}


def lever(key: str = "lever", purpose: str | None = "brake", **fields: Any) -> Data:
    """A lever that rests forward, at +100; `purpose` acts fully at −100."""
    uses = [] if purpose is None else [{"purpose": purpose, "full": -100}]
    return {"key": key, "label": "Lever", "kind": "lever", "plus": "forward", "rest": 100, "uses": uses, **fields}


def switch(key: str = "switch", positions: tuple[float, ...] = (-100, 100), **fields: Any) -> Data:
    """A switch that rests at its first position."""
    label = key.replace("_", " ").capitalize()
    rest = positions[0]
    return {"key": key, "label": label, "kind": "switch", "plus": "up", "rest": rest, "positions": positions, **fields}


def channel(number: int = 1, **fields: Any) -> Data:
    """A channel from 900 to 2100 µs that keeps its last position."""
    return {
        "number": number, "label": f"Channel {number}", "low_us": 900, "high_us": 2100, "failsafe": "last_position",
        **fields,
    }  # fmt: skip


def surface(key: str = "flap", number: int = 1, **fields: Any) -> Data:
    """A surface with stops far away that turns 0.3 degrees for 1 % of travel, down for more."""
    return {
        "key": key, "label": key.replace("_", " ").capitalize(), "role": "flap", "side": "centre", "channel": number,
        "chord_mm": 50, "stop_up_deg": 80, "stop_down_deg": 80,
        "linkage": {"kind": "unmeasured", "deg_per_1000_us": 60}, **fields,
    }  # fmt: skip


def left_and_right(role: str, left: int, right: int, **fields: Any) -> list[Data]:
    """A pair of surfaces, each on its own channel."""
    return [
        surface(f"{side}_{role}", number, role=role, side=side, pair=role, **fields)
        for side, number in (("left", left), ("right", right))
    ]


def motor(number: int = 9, **fields: Any) -> Data:
    """An electric motor, off at −100 %."""
    return {"key": "motor", "label": "Motor", "kind": "electric_motor", "channel": number, **fields}


def coupling(control: str, number: int, *values: float, **fields: Any) -> Data:
    """A response through values at equal steps from −100 to 100."""
    step = 200 / (len(values) - 1)
    stations = [[-100 + step * index, value] for index, value in enumerate(values)]
    return {"control": control, "channel": number, "stations": stations, **fields}


def fade(control: str, *values: float) -> Data:
    """Factors at equal steps from −100 to 100."""
    step = 200 / (len(values) - 1)
    return {"control": control, "stations": [[-100 + step * index, value] for index, value in enumerate(values)]}


def phase(key: str, control: str, position: float, stance: dict[str, float] | None = None, **fields: Any) -> Data:
    """A flight phase."""
    label = key.capitalize()
    return {"key": key, "label": label, "control": control, "position": position, "stance": stance or {}, **fields}


def setup(**parts: Any) -> Setup:
    """A setup of these parts, balanced; channels are made for what has none."""
    used = {1} if not any(parts.get(name) for name in ("channels", "surfaces", "devices")) else set()
    used |= {part["channel"] for name in ("surfaces", "devices", "couplings") for part in parts.get(name, ())}
    given = {one["number"] for one in parts.get("channels", ())}
    channels = [*parts.pop("channels", ()), *(channel(number) for number in sorted(used - given))]
    balance = {
        "cg_datum": "wing root leading edge", "cg_low_mm": 90, "cg_high_mm": 100,
        "loads": [{"key": "battery", "label": "Battery", "mass_g": 1500, "cg_mm": 95}],
    }  # fmt: skip
    return Setup.model_validate({"balance": balance, "channels": channels, **parts})
