"""Ordinary models, set up as a careful pilot would: the audit must leave them in peace.

All invented. Each is made of a few parts that real models share; the numbers are of the size that such models have.
"""

from collections.abc import Callable
from typing import Any

from mixing import Setup

from ..building import channel, coupling, fade, phase, setup, stick, surface, switch

Data = dict[str, Any]

ROLL, PITCH, YAW = stick("roll", "roll"), stick("pitch", "pitch", plus="back"), stick("yaw", "yaw")
BRAKE: Data = {
    "key": "brake", "label": "Brake lever", "kind": "lever", "plus": "forward", "rest": 100,
    "uses": [{"purpose": "brake", "full": -100}],
}  # fmt: skip
CAMBER: Data = {
    "key": "camber", "label": "Camber slider", "kind": "lever", "plus": "down", "rest": 0,
    "uses": [{"purpose": "camber", "full": 100}],
}  # fmt: skip
POWER: Data = {
    "key": "power", "label": "Throttle", "kind": "lever", "plus": "forward", "rest": -100,
    "uses": [{"purpose": "power", "full": 100}],
}  # fmt: skip
ARM = switch("arm", (-100, 100), label="Arming switch", plus="on")
MODE = switch("mode", (-100, 0, 100), label="Phase switch", uses=[{"purpose": "phase", "full": 100}])

RODS = {"kind": "four_bar", "arm_mm": 10, "horn_mm": 12, "pivot_mm": [120, 3], "servo_deg_per_1000_us": 90}
# The servo on the other side of the wing is mounted in a mirror: its channel is reversed and its rod pulled.
MIRRORED = {**RODS, "longer_pulse": "pulls"}


def one_servo(key: str, number: int, role: str, throw_mm: float = 14, **fields: Any) -> Data:
    """A surface on the centre line, its linkage read with a ruler."""
    points = [[1000, -throw_mm], [1500, 0], [2000, throw_mm]]
    linkage = {"kind": "measured", "points": points}
    return surface(key, number, role=role, chord_mm=48, stop_up_deg=30, stop_down_deg=30, linkage=linkage, **fields)


def pair(role: str, left: int, right: int, *, up: float = 30, down: float = 30) -> list[Data]:
    """A left and a right surface with mirrored servos."""
    shared = {"role": role, "pair": role, "chord_mm": 42, "stop_up_deg": up, "stop_down_deg": down}
    return [
        surface(f"left_{role}", left, side="left", linkage=RODS, **shared),
        surface(f"right_{role}", right, side="right", linkage=MIRRORED, **shared),
    ]


def channels(*mirrored: int) -> list[Data]:
    """The channels of the mirrored servos."""
    return [channel(number, reversed=True) for number in mirrored]


def apart(control: str, left: int, right: int, up: float, down: float, **fields: Any) -> list[Data]:
    """Roll: at +100 the right surface goes up and the left one down, and the other way round."""
    return [
        coupling(control, left, -up, 0, down, **fields),
        coupling(control, right, down, 0, -up, **fields),
    ]


def alike(control: str, left: int, right: int, *values: float, **fields: Any) -> list[Data]:
    """The same on both sides."""
    return [coupling(control, left, *values, **fields), coupling(control, right, *values, **fields)]


def motor(number: int, **fields: Any) -> Data:
    """A device that turns a propeller."""
    return {"key": "motor", "label": "Motor", "kind": "electric_motor", "channel": number, **fields}


ELEVATOR = one_servo("elevator", 3, "elevator")
RUDDER = one_servo("rudder", 4, "rudder", 22)
TAIL = [coupling("pitch", 3, 90, -90), coupling("yaw", 4, 80, -80)]


def v_tail() -> Setup:
    """Rudder and elevator from two panels."""
    return setup(
        controls=[ROLL, PITCH, YAW],
        channels=channels(2, 4),
        surfaces=[*pair("aileron", 1, 2), *pair("ruddervator", 3, 4, up=40, down=40)],
        couplings=[
            *apart("roll", 1, 2, 70, 50),
            *alike("pitch", 3, 4, 50, -50),
            coupling("yaw", 3, 40, -40),
            coupling("yaw", 4, -40, 40),
        ],
    )


def inverted_v_tail() -> Setup:
    """The same under the boom: the panels go the other way for yaw."""
    return setup(
        controls=[ROLL, PITCH, YAW],
        channels=channels(2, 4),
        surfaces=[*pair("aileron", 1, 2), *pair("ruddervator_inverted", 3, 4, up=40, down=40)],
        couplings=[
            *apart("roll", 1, 2, 70, 50),
            *alike("pitch", 3, 4, 50, -50),
            coupling("yaw", 3, -40, 40),
            coupling("yaw", 4, 40, -40),
        ],
    )


def elevons() -> Setup:
    """A flying wing: two surfaces for everything, a little less down than up."""
    return setup(
        controls=[ROLL, PITCH],
        channels=channels(2),
        surfaces=pair("elevon", 1, 2, up=35),
        couplings=[*apart("roll", 1, 2, 50, 45), *alike("pitch", 1, 2, 35, -35)],
    )


def flaperons() -> Setup:
    """Ailerons that droop along the whole wing, and fewer degrees down for roll while they do."""
    full = fade("camber", 100, 100, 70)
    return setup(
        controls=[ROLL, PITCH, YAW, CAMBER],
        channels=channels(2),
        surfaces=[*pair("flaperon", 1, 2), ELEVATOR, RUDDER],
        couplings=[
            *apart("roll", 1, 2, 60, 50, fades=[full]),
            *alike("camber", 1, 2, -10, 0, 30),
            *TAIL,
        ],
    )


def spoilers() -> Setup:
    """Spoilers closed at the forward end of the lever, elevator with them."""
    closed = {"kind": "measured", "points": [[1000, 0], [2000, -35]]}
    lids = [{**lid, "linkage": closed, "stop_up_deg": 80, "stop_down_deg": 0} for lid in pair("spoiler", 5, 6)]
    return setup(
        controls=[ROLL, PITCH, YAW, BRAKE],
        channels=channels(2),
        surfaces=[*pair("aileron", 1, 2), *lids, ELEVATOR, RUDDER],
        couplings=[
            *apart("roll", 1, 2, 70, 50),
            *alike("brake", 5, 6, 100, -100),
            coupling("brake", 3, 8, 0),
            *TAIL,
        ],
    )


def snap_flap() -> Setup:
    """Flaps that go with the elevator, down for a pull: free for pitch."""
    return setup(
        controls=[ROLL, PITCH, YAW, BRAKE],
        channels=channels(2, 6),
        surfaces=[*pair("aileron", 1, 2), *pair("flap", 5, 6, up=15, down=60), ELEVATOR, RUDDER],
        couplings=[
            *apart("roll", 1, 2, 60, 45),
            *alike("pitch", 5, 6, -8, 0, 10),
            *alike("pitch", 1, 2, -4, 0, 5),
            *alike("brake", 5, 6, 85, 0),
            coupling("brake", 3, 10, 0),
            *TAIL,
        ],
    )


def full_differential() -> Setup:
    """One aileron goes up and the other stands still; crow, in which the down-going one helps again."""
    return setup(
        controls=[ROLL, PITCH, YAW, BRAKE],
        channels=channels(2),
        surfaces=[*pair("aileron", 1, 2, up=40), ELEVATOR, RUDDER],
        couplings=[
            *apart("roll", 1, 2, 80, 0, fades=[fade("brake", 70, 100)]),
            *alike("brake", 1, 2, -45, 0),
            coupling("brake", 3, 6, 0),
            *TAIL,
        ],
    )


def canard() -> Setup:
    """The pitch surface in front goes down for a pull; ailerons and a fin behind."""
    return setup(
        controls=[ROLL, PITCH, YAW],
        channels=channels(2),
        surfaces=[*pair("aileron", 1, 2), one_servo("canard", 3, "canard"), RUDDER],
        couplings=[*apart("roll", 1, 2, 60, 55), coupling("pitch", 3, -70, 70), coupling("yaw", 4, 80, -80)],
    )


def engine() -> Setup:
    """A throttle that idles above off, cut by a switch that rests at cut."""
    cut = switch("cut", (-100, 100), label="Throttle cut", plus="open")
    return setup(
        controls=[ROLL, PITCH, YAW, POWER, cut],
        channels=[*channels(2), channel(5, failsafe=-100)],
        surfaces=[*pair("aileron", 1, 2), ELEVATOR, RUDDER],
        devices=[motor(5, kind="engine_throttle", label="Throttle")],
        couplings=[
            *apart("roll", 1, 2, 60, 50),
            coupling("power", 5, -80, 100, fades=[fade("cut", 0, 100)]),
            coupling("power", 3, 0, 0, 4),
            *TAIL,
        ],
    )


def six_flap() -> Setup:
    """Three surfaces a wing that roll, camber and brake together; roll shrinks with the brake."""
    shrinking = [fade("brake", 60, 100)]
    inner = [{**one, "key": f"inner_{one['key']}", "pair": "inner"} for one in pair("flap", 7, 8, up=15, down=70)]
    return setup(
        controls=[ROLL, PITCH, YAW, BRAKE, CAMBER],
        channels=channels(2, 6, 8),
        surfaces=[
            *pair("aileron", 1, 2, up=35), *pair("flap", 5, 6, up=20, down=60),
            *inner, ELEVATOR, RUDDER,
        ],
        couplings=[
            *apart("roll", 1, 2, 60, 40, fades=shrinking),
            *apart("roll", 5, 6, 25, 20, fades=shrinking),
            *alike("brake", 1, 2, -40, 0), *alike("brake", 5, 6, 75, 0), *alike("brake", 7, 8, 95, 0),
            *alike("camber", 1, 2, -5, 0, 8), *alike("camber", 5, 6, -5, 0, 8), *alike("camber", 7, 8, -5, 0, 8),
            coupling("brake", 3, 12, 0),
            *TAIL,
        ],
    )  # fmt: skip


def reflexed_wing() -> Setup:
    """The whole trailing edge a little up for speed, by a phase, and down in lift."""
    wing = {"1": -6.0, "2": -6.0, "5": -6.0, "6": -6.0}
    return setup(
        controls=[ROLL, PITCH, YAW, MODE],
        channels=channels(2, 6),
        surfaces=[*pair("aileron", 1, 2), *pair("flap", 5, 6), ELEVATOR, RUDDER],
        phases=[
            phase("cruise", "mode", 0),
            phase("speed", "mode", -100, {**wing, "3": 1.0}, transition_s=0.5),
            phase("thermal", "mode", 100, dict.fromkeys(wing, 8.0), transition_s=0.5),
        ],
        couplings=[*apart("roll", 1, 2, 60, 45), *apart("roll", 5, 6, 50, 40), *TAIL],
    )


def launch_first() -> Setup:
    """The launch is the first phase, so that a switch in doubt is in it; the motor has a switch of its own."""
    launch = {"1": 15.0, "2": 15.0, "5": 20.0, "6": 20.0, "3": 3.0}
    return setup(
        controls=[ROLL, PITCH, YAW, BRAKE, POWER, ARM, MODE],
        channels=[*channels(2, 6), channel(7, failsafe=-100)],
        surfaces=[*pair("aileron", 1, 2), *pair("flap", 5, 6, up=20, down=60), ELEVATOR, RUDDER],
        devices=[motor(7)],
        phases=[
            phase("launch", "mode", -100, launch),
            phase("cruise", "mode", 0),
            phase("thermal", "mode", 100, dict.fromkeys(("1", "2", "5", "6"), 5.0)),
        ],
        couplings=[
            *apart("roll", 1, 2, 55, 40),
            *alike("brake", 5, 6, 85, 0), *alike("brake", 1, 2, -25, 0),
            coupling("brake", 3, 10, 0),
            coupling("power", 7, -100, 100, fades=[fade("arm", 0, 100)]),
            *TAIL,
        ],
    )  # fmt: skip


MODELS: dict[str, Callable[[], Setup]] = {
    made.__name__: made
    for made in (
        v_tail, inverted_v_tail, elevons, flaperons, spoilers, snap_flap, full_differential, canard, engine, six_flap,
        reflexed_wing, launch_first,
    )
}  # fmt: skip
