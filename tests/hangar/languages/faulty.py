"""One setup for each finding of the audit, its labels German, as a German member types them."""

from collections.abc import Callable
from typing import Any

import numpy as np

from mixing import Setup
from tests.mixing import building
from tests.mixing.building import Data, coupling, fade, left_and_right, phase
from tests.mixing.test_many_controls import many

_BALANCE: Data = {
    "cg_datum": "Nasenleiste", "cg_low_mm": 90, "cg_high_mm": 100,
    "loads": [{"key": "battery", "label": "Akku", "mass_g": 1500, "cg_mm": 95}],
}  # fmt: skip


def roll(**fields: Any) -> Data:
    return building.stick(label="Querruderknüppel", plus="rechts", purpose="roll", **fields)


def brake(**fields: Any) -> Data:
    return building.lever(label="Bremshebel", plus="vor", **fields)


def power(**fields: Any) -> Data:
    uses = [{"purpose": "power", "full": 100}]
    return building.lever(**{"key": "power", "label": "Gashebel", "plus": "vor", "rest": -100, "uses": uses, **fields})


def mode() -> Data:
    return building.switch("mode", label="Phasenschalter", plus="hoch")


def flap(**fields: Any) -> Data:
    return building.surface(**{"label": "Klappe", **fields})


def ailerons(left: int = 1, right: int = 2, **fields: Any) -> list[Data]:
    pair = left_and_right("aileron", left, right, **fields)
    return [{**one, "label": f"Querruder {side}"} for one, side in zip(pair, ("links", "rechts"), strict=True)]


def motor(**fields: Any) -> Data:
    return building.motor(label="Antrieb", **fields)


def phases(**stance: float) -> list[Data]:
    told = {key.removeprefix("channel_"): travel for key, travel in stance.items()}
    return [
        phase("cruise", "mode", -100, label="Strecke"),
        phase("launch", "mode", 100, told, label="Start", transition_s=2),
    ]


def made(**parts: Any) -> Setup:
    """A setup of these parts; channels are called as in German."""
    built = building.setup(balance=_BALANCE, **parts) if "balance" not in parts else building.setup(**parts)
    return built.changed(channels=[one.model_copy(update={"label": f"Kanal {one.number}"}) for one in built.channels])


def _uneven() -> Setup:
    return made(
        controls=[roll()], surfaces=ailerons(), couplings=[coupling("roll", 1, -30, 30), coupling("roll", 2, 60, -60)]
    )


def _uneven_by_many() -> Setup:
    """Moved by so many sticks through linkages that bend that nobody can say how far apart they get."""
    built = many(0, kind="unmeasured", deg_per_1000_us=200)[0]
    labels = {"left": "Klappe links", "right": "Klappe rechts"}
    return built.changed(
        controls=[
            one.model_copy(update={"label": f"Knüppel {n}", "plus": "rechts"}) for n, one in enumerate(built.controls)
        ],
        surfaces=[one.model_copy(update={"label": labels[one.side]}) for one in built.surfaces],
        balance=_BALANCE,
    )


def _entangled() -> Setup:
    rng = np.random.default_rng(5)

    def wavy(low: float, high: float) -> list[list[float]]:
        return np.column_stack([np.linspace(-100, 100, 100), rng.uniform(low, high, 100)]).tolist()  # type: ignore[no-any-return]

    keys = [f"control_{index}" for index in range(7)]
    couplings = [
        {"control": key, "channel": 1, "stations": wavy(-20, 20),
         "fades": [{"control": other, "stations": wavy(0, 100)} for other in keys if other != key][:6]}
        for key in keys
    ]  # fmt: skip
    controls = [building.stick(key, label=f"Knüppel {index}", plus="rechts") for index, key in enumerate(keys)]
    return made(controls=controls, surfaces=[flap()], couplings=couplings)


def _motor_with_brake() -> Setup:
    uses = [{"purpose": "brake", "full": -100}, {"purpose": "power", "full": 100}]
    return made(
        controls=[brake(uses=uses, rest=0), roll()],
        surfaces=[flap()],
        devices=[motor()],
        couplings=[
            {"control": "lever", "channel": 1, "stations": [[-100, 90], [50, 0]]},
            {"control": "lever", "channel": 9, "stations": [[30, -100], [100, 100]]},
            coupling("roll", 1, -20, 20),
        ],
    )


def _started_by_a_phase() -> Setup:
    return made(
        controls=[power(), mode()], devices=[motor()], couplings=[coupling("power", 9, -100, 100)],
        phases=phases(channel_9=-80),
    )  # fmt: skip


def _not_held_off() -> Setup:
    armed = fade("mode", 0, 100)
    return made(
        controls=[power(), power(key="button", label="Taster"), mode()],
        devices=[motor()],
        couplings=[coupling("power", 9, -100, 100, fades=[armed]), coupling("button", 9, -100, 20)],
    )


def _channel(**fields: Any) -> Callable[[], Setup]:
    """A motor on a channel with some failsafe."""
    return lambda: made(
        controls=[power()], channels=[building.channel(9, **fields)], devices=[motor()],
        couplings=[coupling("power", 9, -100, 100)],
    )  # fmt: skip


def _moved(*values: float, control: Callable[..., Data] = roll, **parts: Any) -> Callable[[], Setup]:
    """A surface that one control moves through these travels."""
    key = control()["key"]
    return lambda: made(
        **{"controls": [control()], "surfaces": [flap()], "couplings": [coupling(key, 1, *values)], **parts}
    )


FAULTY: dict[str, tuple[Callable[[], Setup], ...]] = {
    "wrong-way": (
        lambda: made(controls=[roll()], surfaces=ailerons(), couplings=[coupling("roll", 2, -50, 50)]),
        lambda: made(
            controls=[roll(), mode()], surfaces=ailerons(), phases=phases(),
            couplings=[coupling("roll", 2, -50, 50, phase="launch")],
        ),
    ),
    "shared-channel": (
        lambda: made(controls=[roll()], surfaces=ailerons(1, 1), couplings=[coupling("roll", 1, -50, 50)]),
        lambda: made(
            controls=[brake()],
            couplings=[coupling("lever", 1, -50, 50)],
            surfaces=[
                {**one, "linkage": {"kind": "unmeasured", "longer_pulse": way}}
                for one, way in zip(ailerons(1, 1), ("lowers", "raises"), strict=True)
            ],
        ),
    ),
    "past-stop": (
        _moved(-100, 100, surfaces=[flap(stop_up_deg=25, stop_down_deg=20)]),
        _moved(-100, 100, surfaces=[flap(stop_up_deg=25)], controls=[roll(), mode()], phases=phases(channel_1=-30)),
    ),
    "unreachable": (
        _moved(-100, 100, surfaces=[flap(linkage={"kind": "unmeasured", "deg_per_1000_us": 200})]),
        _moved(-100, 100, surfaces=[flap(linkage={
            "kind": "four_bar", "arm_mm": 18, "horn_mm": 10, "pivot_mm": [100, 5], "servo_deg_per_1000_us": 120,
        })]),
    ),
    "motor-at-rest": (_started_by_a_phase, _not_held_off),
    "motor-with-brake": (_motor_with_brake,),
    "failsafe-motor": (
        _channel(failsafe=None), _channel(failsafe="last_position"), _channel(failsafe="signal_off"),
        _channel(failsafe=20),
        lambda: made(
            controls=[power()], channels=[building.channel(9, failsafe="signal_off")],
            devices=[motor(kind="engine_throttle")], couplings=[coupling("power", 9, -100, 100)],
        ),
    ),
    "too-few-channels": (lambda: made(controls=[roll()], surfaces=[flap(number=7)]),),
    "motor-lock": (_channel(),),
    "phase-jump": (
        _moved(-20, 20, controls=[roll(), mode()], phases=phases(channel_1=80)),
        lambda: made(
            controls=[roll(), mode()], surfaces=[flap()], phases=[{**one, "transition_s": 0} for one in phases()],
            couplings=[coupling("roll", 1, -20, 20), coupling("roll", 1, -100, 100, phase="launch")],
        ),
        _started_by_a_phase,
    ),
    "out-of-balance": tuple(
        lambda cg=cg, datum=datum: made(  # type: ignore[misc]
            controls=[roll()],
            balance={**_BALANCE, "cg_datum": datum, "loads": [{**_BALANCE["loads"][0], "cg_mm": cg}]},
        )
        for cg in (80.5, 112.5)
        for datum in ("Nasenleiste", "")
    ),
    "held": (_moved(-150, 140), _moved(-150, 20)),
    "uneven": (_uneven, _uneven_by_many),
    "off-neutral": (_moved(-20, 20, channels=[building.channel(1, centre_us=1550)]),),
    "failsafe-unset": (_moved(-20, 20, channels=[building.channel(1, failsafe=None)]),),
    "jump": (
        _moved(couplings=[{"control": "roll", "channel": 1, "stations": [[-100, 0], [0, 0], [1, 40], [100, 40]]}]),
        _moved(
            controls=[roll(), mode()], phases=phases(),
            couplings=[{"control": "roll", "channel": 1, "phase": "launch", "stations": [[0, 0], [1, 40], [100, 40]]}],
        ),
    ),
    "entangled": (_entangled,),
    "uncompensated-brake": (
        _moved(-60, 0, control=brake, controls=[brake()]),
        lambda: made(
            controls=[brake(), mode()], surfaces=[flap()], phases=phases(),
            couplings=[coupling("lever", 1, -60, 0, phase="launch")],
        ),
    ),
    "little-travel": (_moved(-20, 20),),
    "rounding": (_moved(-63, 63, signal={"step_pct": 10}),),
    "curve-points": (
        _moved(-50, 0, 30, 50, 60, 55, 40, signal={"curve_points": 3}),
        _moved(couplings=[{"control": "roll", "channel": 1, "stations": [[-100, 0], [33, 0], [100, 40]]}]),
    ),
}  # fmt: skip
"""By the code of a finding, setups that have it: for each way in which it is put, one."""
