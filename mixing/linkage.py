"""Linkages: from the pulse that a servo gets to the deflection of its surface, and back.

Three kinds share one interface, all arrays, no loop over positions:

    follow(pulse_us, chord_mm=, centre_us=)         -> Followed: deflection_deg, throw_mm, blocked
    pulse_for(deflection_deg, chord_mm=, centre_us=) -> pulse_us, or Unreachable
    turning_pulses(centre_us=)                       -> pulses between which the deflection is monotone
"""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal, NamedTuple, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from .errors import LinkageError, Unreachable
from .four_bar import Geometry
from .language import later, say
from .part import Part, Pulse, type_tuple
from .throws import Array, throw_mm
from .wording import fixed

BLOCK = 4096
"""Positions worked out at a time: what a block needs stays in the cache, and is not asked of the system anew."""

WIDEST_DEG = 90.0
"""No hinge turns further: past it a linkage counts as binding."""

# Twice the longest chord of a document: more is no throw, and the straight line beyond it would overflow.
Reading = Annotated[float, Field(ge=-10_000, le=10_000)]

_WIDEST_HALF_SINE = float(np.sin(np.radians(WIDEST_DEG) / 2.0))
_REACH_SLACK_DEG = 1e-9


class Followed(NamedTuple):
    """What a surface does for a pulse: sin(δ/2), from which throw and deflection come, and where it cannot follow."""

    half_sine: Array
    blocked: NDArray[np.bool_]

    @property
    def deflection_deg(self) -> Array:
        """Deflection δ [degrees], −90 … 90."""
        return np.degrees(2.0 * np.arcsin(self.half_sine))

    def throw_mm(self, *, chord_mm: float) -> Array:
        """Throw 2 · c · sin(δ/2) [mm]."""
        return np.asarray(2.0 * chord_mm * self.half_sine)


class Measured(Part):
    """Throws read with a ruler at known pulses; straight between the readings, end slopes beyond.

    points : [[pulse µs, throw mm], ...], at least two, strictly monotone in both; pulses as a channel may send them.

    Examples
    --------
    >>> Measured(points=((1000, -9), (1500, 0), (2000, 10))).throw_mm([1250, 2100]).tolist()
    [-4.5, 12.0]
    """

    kind: Literal["measured"] = "measured"
    points: Annotated[
        tuple[Annotated[tuple[Pulse, Reading], type_tuple], ...], type_tuple, Field(min_length=2, max_length=200)
    ]

    @model_validator(mode="after")
    def _monotone(self) -> Self:
        steps = np.diff(np.asarray(self.points), axis=0)
        for column, fault in enumerate(_NOT_MONOTONE):
            if not (np.all(steps[:, column] > 0.0) or np.all(steps[:, column] < 0.0)):
                raise LinkageError(say(fault))
        return self

    @cached_property
    def _table(self) -> Array:
        table = np.asarray(self.points, dtype=np.float64)
        return table if table[0, 0] < table[-1, 0] else table[::-1]

    def throw_mm(self, pulse_us: ArrayLike) -> Array:
        """Throw [mm] at pulses [µs] of any shape."""
        return _straight_beyond(np.asarray(pulse_us, dtype=np.float64), self._table[:, 0], self._table[:, 1])

    def follow(self, pulse_us: ArrayLike, *, chord_mm: float, centre_us: float = 1500.0) -> Followed:
        """Deflection [degrees] at pulses [µs]; held at ±90 degrees, and blocked, where the throw asks for more."""
        return _held(self.throw_mm(pulse_us) / (2.0 * chord_mm))

    def pulse_for(self, deflection: ArrayLike, *, chord_mm: float, centre_us: float = 1500.0) -> Array:
        """Pulse [µs] that gives a deflection [degrees]: exact inverse of `follow` within ±90 degrees."""
        wanted = _within_widest(deflection)
        order = slice(None) if self._table[0, 1] < self._table[-1, 1] else slice(None, None, -1)
        throw = throw_mm(deflection_deg=wanted, chord_mm=chord_mm)
        return _straight_beyond(throw, self._table[order, 1], self._table[order, 0])

    def turning_pulses(self, *, centre_us: float = 1500.0) -> Array:
        """None: the readings are monotone."""
        return np.empty(0)

    @property
    def measured_us(self) -> tuple[float, float]:
        """The lowest and highest pulse that a ruler was held to; beyond them the throw is an estimate."""
        return float(self._table[0, 0]), float(self._table[-1, 0])


class FourBar(Part):
    """Servo arm, pushrod and horn as a planar four-bar; the conventions are in `mixing.four_bar`.

    arm_mm, horn_mm, pivot_mm [d, e] : radii and the place of the horn's pivot as seen from the servo's [mm]
    arm_neutral_deg, horn_neutral_deg : lean from the perpendicular to the line of the pivots, within ±90 [degrees]
    neutral_us : pulse at which the neutral angles hold
    longer_pulse : whether a longer pulse pushes or pulls the rod (a mirrored servo)
    push : whether a push lowers the trailing edge (swings a rudder left) or raises it

    Examples
    --------
    >>> FourBar(arm_mm=11, horn_mm=14, pivot_mm=(130, 5)).deflection([-30, 0, 30]).round(2).tolist()
    [-23.17, 0.0, 23.09]
    """

    kind: Literal["four_bar"] = "four_bar"
    arm_mm: Annotated[float, Field(gt=0, le=1000)]
    horn_mm: Annotated[float, Field(gt=0, le=1000)]
    pivot_mm: Annotated[
        tuple[Annotated[float, Field(ge=-5000, le=5000)], Annotated[float, Field(ge=-5000, le=5000)]], type_tuple
    ]
    arm_neutral_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0
    horn_neutral_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0
    neutral_us: Annotated[float, Field(ge=300, le=3000)] = 1500.0
    servo_deg_per_1000_us: Annotated[float, Field(gt=0, le=400)] = 90.0
    longer_pulse: Literal["pushes", "pulls"] = "pushes"
    push: Literal["lowers", "raises"] = "lowers"

    @model_validator(mode="after")
    def _works(self) -> Self:
        self.geometry.check()
        return self

    @cached_property
    def geometry(self) -> Geometry:
        """The bare four-bar, in movements from neutral: φ of the arm, δ of the horn."""
        return Geometry(
            arm_mm=self.arm_mm,
            horn_mm=self.horn_mm,
            pivot_distance_mm=float(np.hypot(*self.pivot_mm)),
            arm_neutral_deg=self.arm_neutral_deg,
            horn_neutral_deg=self.horn_neutral_deg,
        )

    @property
    def rod_mm(self) -> float:
        """Length of the pushrod that closes the linkage at neutral [mm]."""
        return self.geometry.rod_mm

    @property
    def _servo_sign(self) -> float:
        return 1.0 if self.longer_pulse == "pushes" else -1.0

    @property
    def _surface_sign(self) -> float:
        return 1.0 if self.push == "lowers" else -1.0

    def reach(self) -> tuple[float, float]:
        """Lowest and highest servo angle [degrees] that it can follow: the rod in line with the horn.

        Infinite on a side where the arm can turn all the way round.

        >>> [round(end, 2) for end in FourBar(arm_mm=20, horn_mm=12, pivot_mm=(130, 5)).reach()]
        [-34.35, 39.65]
        """
        return _ordered(self.geometry.reach, self._servo_sign)

    def deflection(self, servo_deg: ArrayLike) -> Array:
        """Deflection [degrees] at servo angles [degrees] from neutral, any shape; positive = longer pulse.

        Raises
        ------
        Unreachable
            An angle past the reach; the text names the last angle on that side.

        Examples
        --------
        >>> FourBar(arm_mm=11, horn_mm=14, pivot_mm=(130, 5)).deflection([-30, 30]).round(2).tolist()
        [-23.17, 23.09]
        """
        servo = np.asarray(servo_deg, dtype=np.float64)
        low, high = self.reach()
        reached = _reached(servo, low, high, _PAST_THE_DEAD_POINT)
        if reached.size <= BLOCK:
            return self._follow_servo(reached)
        found = np.empty(reached.shape)
        for start in range(0, reached.size, BLOCK):
            block = slice(start, start + BLOCK)
            found.reshape(-1)[block] = self._follow_servo(reached.reshape(-1)[block])
        return found

    def _follow_servo(self, servo: Array) -> Array:
        return self._surface_sign * self.geometry.horn_movement(self._servo_sign * servo)

    def servo_angle(self, deflection_deg: ArrayLike) -> Array:
        """Servo angle [degrees] that gives a deflection [degrees], on the branch through neutral.

        Raises
        ------
        Unreachable
            A deflection past the last one on this branch (a dead point, or the arm in line with the rod).

        Examples
        --------
        >>> FourBar(arm_mm=11, horn_mm=14, pivot_mm=(130, 5)).servo_angle([-20, 20]).round(2).tolist()
        [-25.77, 25.84]
        """
        wanted = np.asarray(deflection_deg, dtype=np.float64)
        low, high = self.deflection_range()
        delta = self._surface_sign * _reached(wanted, low, high, _PAST_THE_END)
        return self._servo_sign * self.geometry.arm_movement(delta)

    def deflection_range(self) -> tuple[float, float]:
        """Lowest and highest deflection [degrees] on the branch through neutral."""
        return _ordered(self.geometry.horn_range, self._surface_sign)

    def follow(self, pulse_us: ArrayLike, *, chord_mm: float = 1.0, centre_us: float = 1500.0) -> Followed:
        """Deflection [degrees] at pulses [µs]; held at the last one reached, and blocked, where it cannot follow."""
        servo = (np.asarray(pulse_us, dtype=np.float64) - self.neutral_us) / 1000.0 * self.servo_deg_per_1000_us
        low, high = self.reach()
        past = (servo < low - _REACH_SLACK_DEG) | (servo > high + _REACH_SLACK_DEG)
        servo = np.clip(servo, low, high)
        if self.geometry.is_ordinary:
            free = self._surface_sign * self.geometry.half_tangent(self._servo_sign * servo)
        else:
            # Half of what a whole turn and more would be is no quarter turn: it must not look like a small angle.
            free = np.tan(np.radians(np.clip(self._follow_servo(servo), -170.0, 170.0)) / 2.0)
        held = _held(free / np.sqrt(1.0 + free * free))
        return Followed(held.half_sine, held.blocked | past)

    def pulse_for(self, deflection: ArrayLike, *, chord_mm: float = 1.0, centre_us: float = 1500.0) -> Array:
        """Pulse [µs] that gives a deflection [degrees]; raises Unreachable."""
        servo = self.servo_angle(_within_widest(deflection))
        return np.asarray(self.neutral_us + servo / self.servo_deg_per_1000_us * 1000.0)

    def turning_pulses(self, *, centre_us: float = 1500.0) -> Array:
        """Pulses [µs], sorted, at which the arm comes in line with the rod and the movement turns back."""
        servo = self._servo_sign * self.geometry.turning_deg
        return np.sort(self.neutral_us + servo / self.servo_deg_per_1000_us * 1000.0)


class Unmeasured(Part):
    """A linkage not measured yet: an assumed rate about the transmitter's centre. All from it is estimated."""

    kind: Literal["unmeasured"] = "unmeasured"
    deg_per_1000_us: Annotated[float, Field(gt=0, le=400)] = 60.0
    longer_pulse: Literal["lowers", "raises"] = "lowers"

    @property
    def _rate(self) -> float:
        return (1.0 if self.longer_pulse == "lowers" else -1.0) * self.deg_per_1000_us / 1000.0

    def follow(self, pulse_us: ArrayLike, *, chord_mm: float = 1.0, centre_us: float = 1500.0) -> Followed:
        """Deflection [degrees] at pulses [µs], straight about the centre; held at ±90 degrees, and blocked, beyond."""
        free = (np.asarray(pulse_us, dtype=np.float64) - centre_us) * self._rate
        return _held(np.sin(np.radians(np.clip(free, -180.0, 180.0)) / 2.0))

    def pulse_for(self, deflection: ArrayLike, *, chord_mm: float = 1.0, centre_us: float = 1500.0) -> Array:
        """Pulse [µs] that gives a deflection [degrees] within ±90."""
        return np.asarray(centre_us + _within_widest(deflection) / self._rate)

    def turning_pulses(self, *, centre_us: float = 1500.0) -> Array:
        """None: the assumed rate is straight."""
        return np.empty(0)


Linkage = Annotated[Measured | FourBar | Unmeasured, Field(discriminator="kind")]


_NOT_MONOTONE = (
    later("the pulses must rise or fall all the way, without a repeated value"),
    later("the throws must rise or fall all the way, without a repeated value"),
)
_PAST_THE_DEAD_POINT = later("the servo angle {given}° is out of reach: the rod comes in line with the horn at {last}°")
_PAST_THE_END = later("a deflection of {given}° is out of reach: this linkage ends at {last}°")


def _reached(angles: Array, low: float, high: float, words: str) -> Array:
    """The angles, those within rounding of an end set on it; Unreachable, naming the end, for one beyond."""
    for bad, last in ((angles < low - _REACH_SLACK_DEG, low), (angles > high + _REACH_SLACK_DEG, high)):
        if np.any(bad):
            given = float(angles[bad].flat[0]) if angles.ndim else float(angles)
            raise Unreachable(say(words, given=fixed(given, 3), last=fixed(last, 3)), last=last)
    return np.clip(angles, low, high)


def _ordered(ends: tuple[float, float], sign: float) -> tuple[float, float]:
    return ends if sign > 0 else (-ends[1], -ends[0])


def _held(half_sine: Array) -> Followed:
    """Held at a quarter turn, and blocked, beyond it."""
    blocked = np.abs(half_sine) > _WIDEST_HALF_SINE * (1.0 + 1e-12)
    inside = np.minimum(np.maximum(half_sine, -_WIDEST_HALF_SINE), _WIDEST_HALF_SINE)
    return Followed(np.asarray(inside), blocked)


def _within_widest(deflection: ArrayLike) -> Array:
    wanted = np.asarray(deflection, dtype=np.float64)
    beyond = np.abs(wanted) > WIDEST_DEG
    if np.any(beyond):
        given = float(wanted[beyond].flat[0]) if wanted.ndim else float(wanted)
        raise Unreachable(
            say("a deflection of {given}° is out of reach: no hinge turns past 90°", given=fixed(given, 3)),
            last=float(np.copysign(WIDEST_DEG, given)),
        )
    return wanted


def _straight_beyond(x: Array, xs: Array, ys: Array) -> Array:
    """Linear interpolation through sorted stations, the end slopes going on beyond them."""
    inside = np.interp(x, xs, ys)
    low = ys[0] + (x - xs[0]) * (ys[1] - ys[0]) / (xs[1] - xs[0])
    high = ys[-1] + (x - xs[-1]) * (ys[-1] - ys[-2]) / (xs[-1] - xs[-2])
    return np.where(x < xs[0], low, np.where(x > xs[-1], high, inside))
