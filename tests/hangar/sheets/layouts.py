"""Setups of every layout that a sheet must carry, invented: from a flying wing to eight surfaces in three phases."""

import random
from collections.abc import Callable
from typing import Any

from mixing import Setup

STICKS = {
    "roll": ("Aileron stick", "right", "roll"),
    "pitch": ("Elevator stick", "back", "pitch"),
    "yaw": ("Rudder stick", "right", "yaw"),
}
PHASES = (("cruise", 0, 0.0), ("thermal", -100, 6.0), ("speed", 100, -4.0))
WINGS = {"aileron": (-60, -35), "flaperon": (-45, 40), "flap": (-20, 85), "elevon": (-50, -20), "spoiler": (0, -60)}


def linkage(kind: str, side: str) -> dict[str, Any]:
    """A linkage of one kind; a right servo lies mirrored, as is usual."""
    longer = "pulls" if side == "left" else "pushes"
    if kind == "unmeasured":
        return {"kind": kind, "deg_per_1000_us": 60, "longer_pulse": "raises" if side == "left" else "lowers"}
    if kind == "measured":
        points = [[1100, -14], [1500, 0], [1900, 15]]
        return {"kind": kind, "points": points if side != "left" else [[p, -t] for p, t in reversed(points)]}
    return {
        "kind": "four_bar", "arm_mm": 11, "horn_mm": 14, "pivot_mm": [140, 4], "arm_neutral_deg": 0,
        "horn_neutral_deg": 0, "neutral_us": 1500, "servo_deg_per_1000_us": 90, "longer_pulse": longer,
        "push": "lowers",
    }  # fmt: skip


class Builder:
    """Collects the parts of a document."""

    def __init__(self, *, phases: int, names: str = "", linkages: str = "four_bar") -> None:
        self.names, self.linkages = names, linkages
        self.controls: list[dict[str, Any]] = []
        self.channels: list[dict[str, Any]] = []
        self.surfaces: list[dict[str, Any]] = []
        self.devices: list[dict[str, Any]] = []
        self.phases: list[dict[str, Any]] = []
        self.couplings: list[dict[str, Any]] = []
        for key, (label, plus, purpose) in STICKS.items():
            self.control(key, label, "stick", plus, 0, purpose, 100)
        self.control("lever", "Left lever", "lever", "forward", 100, "brake", -100)
        if phases:
            self.control("phase", "Phase switch", "switch", "up", 0, "phase", 100, [-100, 0, 100])
        self.phase_keys = [key for key, _, _ in PHASES[:phases]]

    def control(
        self, key: str, label: str, kind: str, plus: str, rest: float, purpose: str, full: float,
        positions: list[float] | None = None,
    ) -> None:  # fmt: skip
        uses = [{"purpose": purpose, "full": full}]
        self.controls.append(
            {"key": key, "label": label, "kind": kind, "plus": plus, "rest": rest, "positions": positions, "uses": uses}
        )

    def channel(self, label: str, failsafe: Any = "last_position", *, reversed_: bool = False) -> int:
        number = len(self.channels) + 1
        self.channels.append(
            {"number": number, "label": label, "reversed": reversed_, "centre_us": 1500, "low_us": 900, "high_us": 2100,
             "failsafe": failsafe}
        )  # fmt: skip
        return number

    def surface(self, role: str, side: str, index: int = 0, *, channel: int | None = None) -> int:
        """One surface on a channel of its own, or on the one given (a Y-lead); its channel number."""
        word = {"left": "Left ", "right": "Right ", "centre": ""}[side]
        plain = role.replace("_", " ") + (f" {index}" if index else "")
        label = (f"{word}{plain}".capitalize() + self.names)[:80]
        number = channel or self.channel(label, reversed_=side == "left")
        # On a Y-lead both servos lie the same way round, or they would move apart.
        lies = "left" if channel else side
        self.surfaces.append(
            {"key": f"{side}_{role}_{index}", "label": label, "role": role, "side": side,
             "pair": f"{role} {index}" if side != "centre" else None, "channel": number, "chord_mm": 48,
             "stop_up_deg": 40, "stop_down_deg": 80, "measure_at": "widest chord", "neutral_ref": "flush",
             "linkage": linkage(self.linkages, lies)}
        )  # fmt: skip
        return number

    def couple(self, control: str, channel: int, low: float, high: float, **more: Any) -> None:
        self.couplings.append(
            {"control": control, "channel": channel, "phase": None, "stations": [[-100, low], [100, high]],
             "expo_pct": 0, "fades": [], **more}
        )  # fmt: skip

    def wing(self, role: str, index: int = 0) -> None:
        """A pair of wing surfaces, with roll and brake, and pitch for elevons."""
        for side, sign in (("left", 1), ("right", -1)):
            number = self.surface(role, side, index)
            roll, brake = WINGS[role]
            if roll:
                self.couple("roll", number, roll * sign, -roll * sign)
            self.couple("lever", number, brake, 0)
            if role == "elevon":
                self.couple("pitch", number, 50, -50)
            for key in self.phase_keys[1:]:
                self.couple("roll", number, (roll or 10) * sign * 0.5, -(roll or 10) * sign * 0.5, phase=key)

    def tail(self, kind: str) -> None:
        if kind == "cross":
            self.couple("pitch", self.surface("elevator", "centre"), 70, -70)
            self.couple("yaw", self.surface("rudder", "centre"), 90, -90)
        elif kind in ("ruddervator", "ruddervator_inverted"):
            for side, sign in (("left", 1), ("right", -1)):
                number = self.surface(kind, side)
                yaw = 30 * sign * (-1 if kind == "ruddervator" else 1)
                self.couple("pitch", number, 50, -50)
                self.couple("yaw", number, -yaw, yaw)
                self.couple("lever", number, 8, 0)

    def motor(self) -> None:
        self.control("power", "Right slider", "lever", "forward", -100, "power", 100)
        self.control("arm", "Motor switch", "switch", "up", -100, "other", 100, [-100, 100])
        number = self.channel("Motor", -100)
        self.devices.append(
            {"key": "motor", "label": "Motor", "kind": "electric_motor", "channel": number, "off_pct": -100,
             "full_pct": 100}
        )  # fmt: skip
        fade = {"control": "arm", "stations": [[-100, 0], [100, 100]]}
        self.couple("power", number, -100, 100, fades=[fade])

    def setup(self, remarks: str = "") -> Setup:
        numbers = [s["channel"] for s in self.surfaces if s["role"] in WINGS]
        for (key, position, camber), _ in zip(PHASES, self.phase_keys, strict=False):
            stance = {str(n): camber for n in numbers} if camber else {}
            self.phases.append({"key": key, "label": key.capitalize(), "control": "phase", "position": position,
                                "stance": stance, "transition_s": 0})  # fmt: skip
        data = {
            "schema": 1,
            "signal": {"centre_us": 1500, "per_100_us": 500, "limit_pct": 125, "step_pct": 1, "curve_points": 5,
                       "curve_free_x": False, "channels": 16},
            "balance": {"cg_datum": "wing root leading edge", "cg_low_mm": 88, "cg_high_mm": 97.5,
                        "loads": [{"key": "light", "label": "No ballast", "mass_g": 2950, "cg_mm": 93},
                                  {"key": "heavy", "label": "Full ballast", "mass_g": 4100, "cg_mm": 91.5}]},
            "controls": self.controls, "channels": self.channels, "surfaces": self.surfaces, "devices": self.devices,
            "phases": self.phases, "couplings": self.couplings, "remarks": remarks,
        }  # fmt: skip
        return Setup.model_validate(data)


def conventional(**options: Any) -> Setup:
    builder = Builder(phases=options.pop("phases", 2), **options)
    builder.wing("aileron")
    builder.wing("flap")
    builder.tail("cross")
    builder.motor()
    return builder.setup("An invented motor glider.")


def vee_tail(**options: Any) -> Setup:
    builder = Builder(phases=3, **options)
    builder.wing("aileron")
    builder.wing("flap")
    builder.tail("ruddervator")
    return builder.setup("An invented slope soarer.")


def inverted_vee(**options: Any) -> Setup:
    builder = Builder(phases=1, **options)
    builder.wing("flaperon")
    builder.tail("ruddervator_inverted")
    builder.motor()
    return builder.setup()


def flying_wing(**options: Any) -> Setup:
    builder = Builder(phases=0, **options)
    builder.wing("elevon")
    for side, sign in (("left", 1), ("right", 1)):
        builder.couple("yaw", builder.surface("rudder", side), 60 * sign, -60 * sign)
    return builder.setup()


def two_servos(**options: Any) -> Setup:
    """Elevator and rudder only, with both spoilers on a Y-lead."""
    builder = Builder(phases=0, **options)
    builder.tail("cross")
    number = builder.surface("spoiler", "left")
    builder.surface("spoiler", "right", channel=number)
    builder.couple("lever", number, -80, 0)
    return builder.setup()


def eight_surfaces(**options: Any) -> Setup:
    """Three pairs on the wing, elevator and rudder, three phases with a roll response of their own each."""
    builder = Builder(phases=3, **options)
    builder.wing("aileron")
    builder.wing("flaperon")
    builder.wing("flap")
    builder.tail("cross")
    return builder.setup("Invented. " + "A long remark about how it flew and what was tried on which day. " * 40)


def many_surfaces(**options: Any) -> Setup:
    """More than a page holds: twelve wing surfaces, a V-tail, a motor."""
    builder = Builder(phases=3, **options)
    for role in ("aileron", "flaperon", "flap"):
        builder.wing(role, 1)
        builder.wing(role, 2)
    builder.tail("ruddervator")
    builder.motor()
    return builder.setup("Invented. " * 300)


def varied(setup: Setup, seed: int) -> Setup:
    """The setup of another model of the same layout: both wings alike, every figure its own."""
    found: dict[tuple[Any, ...], float] = {}
    chance, data = random.Random(seed), setup.data()

    def times(*of: Any) -> float:
        return found.setdefault(of, chance.uniform(0.85, 1.0))

    moves = {one["channel"]: one["pair"] or one["key"] for one in data["surfaces"]}
    for one in data["surfaces"]:
        part, linkage = moves[one["channel"]], one["linkage"]
        one["chord_mm"] = round(one["chord_mm"] * times("chord", part), 1)
        if linkage["kind"] == "measured":
            linkage["points"] = [[us, round(mm * times("horn", part), 1)] for us, mm in linkage["points"]]
        else:
            length = "arm_mm" if linkage["kind"] == "four_bar" else "deg_per_1000_us"
            linkage[length] = round(linkage[length] * times("arm", part), 1)
    for one in data["couplings"]:
        if one["channel"] in moves:
            factor = times(one["control"], moves[one["channel"]], one["phase"])
            one["stations"] = [[x, round(travel * factor, 1)] for x, travel in one["stations"]]
    for one in data["phases"]:
        one["stance"] = {n: round(pct * times(one["key"], moves[int(n)]), 1) for n, pct in one["stance"].items()}
    balance = data["balance"]
    for place, key in ((balance, "cg_low_mm"), (balance, "cg_high_mm"), *((one, "cg_mm") for one in balance["loads"])):
        place[key] = round(place[key] * times("balance"), 1)
    for one in balance["loads"]:
        one["mass_g"] = round(one["mass_g"] * times(one["key"]))
    return Setup.model_validate(data)


LONG = " with a name that somebody made as long as the form allows it to be, really"
ONE_PAGE: dict[str, Callable[[], Setup]] = {
    "conventional": conventional,
    "vee tail": vee_tail,
    "inverted vee": inverted_vee,
    "flying wing": flying_wing,
    "two servos": two_servos,
    "eight surfaces, three phases": eight_surfaces,
    "unmeasured": lambda: vee_tail(linkages="unmeasured"),
    "measured": lambda: conventional(linkages="measured"),
    "long names": lambda: conventional(names=LONG),
    "eight surfaces, long names": lambda: eight_surfaces(names=LONG),
}
