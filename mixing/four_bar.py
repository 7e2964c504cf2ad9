"""The planar four-bar in closed form.

Servo pivot at the origin, horn pivot at distance D along the unit vector u; n is u turned by +90°. Angles
are measured from n and are positive where they lean towards u:

    arm tip   A = a · (sin(α+φ) u + cos(α+φ) n)
    horn tip  B = D u + h · (sin(β+δ) u + cos(β+δ) n)

φ and δ are the movements from neutral; the rod's length L closes the linkage at φ = δ = 0. For a given φ the horn
tip lies where the circle of radius h about the horn pivot meets that of radius L about A (circle-circle
intersection; loop closure as in R. L. Norton, Design of Machinery, ch. 4, from memory). Of the two roots the one
on neutral's side of the line from the horn pivot to A is the continuous one: it can only be left at a dead point,
where rod and horn are in line, and there the reach ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .errors import LinkageError
from .language import say
from .throws import Array

_LEAST_TRANSMISSION = 1e-6
"""Sine of the angle between rod and horn at neutral, below which neutral is a dead point."""

_SAME_DEG = 1e-7


@dataclass(frozen=True)
class Geometry:
    """A four-bar in movements from neutral. Lengths in mm, angles in degrees."""

    arm_mm: float
    horn_mm: float
    pivot_distance_mm: float
    arm_neutral_deg: float
    horn_neutral_deg: float

    def check(self) -> None:
        """Refuse what cannot close, or stands at a dead point in neutral.

        Raises
        ------
        LinkageError
        """
        if self.pivot_distance_mm <= 0.0:
            raise LinkageError(say("servo and horn have the same pivot; give how far apart they are"))
        if self.rod_mm <= 0.0:
            raise LinkageError(say("arm and horn meet at neutral, so the pushrod would have no length"))
        if abs(self._horn_side) < _LEAST_TRANSMISSION:
            text = say("rod and horn are in line at neutral: a dead point, where the surface cannot be moved")
            raise LinkageError(text)

    @cached_property
    def _neutral_tips(self) -> tuple[float, float, float, float]:
        alpha, beta = np.radians([self.arm_neutral_deg, self.horn_neutral_deg])
        return (
            self.arm_mm * float(np.sin(alpha)),
            self.arm_mm * float(np.cos(alpha)),
            self.pivot_distance_mm + self.horn_mm * float(np.sin(beta)),
            self.horn_mm * float(np.cos(beta)),
        )

    @cached_property
    def rod_mm(self) -> float:
        """Length of the rod, tip to tip at neutral."""
        ax, ay, bx, by = self._neutral_tips
        return float(np.hypot(bx - ax, by - ay))

    @cached_property
    def _horn_side(self) -> float:
        """Sine of the turn from the rod to the horn at neutral; its sign chooses the root for δ."""
        ax, ay, bx, by = self._neutral_tips
        hx, hy = bx - self.pivot_distance_mm, by
        return ((ax - self.pivot_distance_mm) * -hy + ay * hx) / (self.horn_mm * self.rod_mm)

    @cached_property
    def _arm_side(self) -> float:
        """Sine of the turn from the rod to the arm at neutral; its sign chooses the root for φ (0: arm in line)."""
        ax, ay, bx, by = self._neutral_tips
        sine = (ax * by - ay * bx) / (self.arm_mm * self.rod_mm)
        return sine if abs(sine) > 1e-12 else 1.0

    def horn_movement(self, phi_deg: Array) -> Array:
        """δ for φ within reach, any shape [degrees]."""
        return self._horn_root(phi_deg) - self._horn_zero

    def _horn_root(self, phi_deg: Array) -> Array:
        """The horn's angle on neutral's branch, counted through whole turns of the arm."""
        angle = np.radians(self.arm_neutral_deg + phi_deg)
        px = self.arm_mm * np.sin(angle) - self.pivot_distance_mm
        py = self.arm_mm * np.cos(angle)
        side = 1.0 if self._horn_side > 0.0 else -1.0
        gamma = np.arctan2(px, py) + _turns(angle, self.arm_mm, self.pivot_distance_mm)
        spread = _angle_opposite(self.rod_mm, self.horn_mm, np.hypot(px, py))
        return np.asarray(np.degrees(gamma + side * spread))

    @cached_property
    def is_ordinary(self) -> bool:
        """Whether `half_tangent` serves: the arm never reaches round the horn pivot, and δ stays within ±179°."""
        if self.arm_mm >= self.pivot_distance_mm:
            return False
        ends = [max(-360.0, self.reach[0]), min(360.0, self.reach[1])]
        delta = self.horn_movement(np.array([*ends, *self.turning_deg]))
        return bool(np.all(np.abs(delta) < 179.0))

    def half_tangent(self, phi_deg: Array) -> Array:
        """tan(δ/2) for φ within reach, any shape: the quick way for arrays, without recovering an angle.

        With the arm tip at (u, v) from the horn pivot, turned by −β, r its distance, k = h² + r² − L² = 2hr·cos and
        w = √((h+r)² − L²)·√(L² − (h−r)²) = 2hr·sin of the angle between horn and r:
        tan(δ/2) = sin δ / (1 + cos δ) = (u·k ± v·w) / (2hr² + v·k ∓ u·w).
        """
        h, rod = self.horn_mm, self.rod_mm
        beta = np.radians(self.horn_neutral_deg)
        angle = np.radians(phi_deg)
        # In place wherever that can be: new arrays would make it a tenth slower.
        angle += np.radians(self.arm_neutral_deg - self.horn_neutral_deg)
        u, v = np.sin(angle), np.cos(angle)
        u *= self.arm_mm
        u -= self.pivot_distance_mm * np.cos(beta)
        v *= self.arm_mm
        v -= self.pivot_distance_mm * np.sin(beta)
        square = u * u
        square += v * v
        w = self._twice_the_area(np.sqrt(square))
        k = square + (h * h - rod * rod)
        square *= 2.0 * h
        square += v * k
        square -= u * w
        u *= k
        v *= w
        u += v
        u /= square
        return np.asarray(u)

    def _twice_the_area(self, r: Array) -> Array:
        """w of `half_tangent`, with the sign of neutral's side."""
        h, rod = self.horn_mm, self.rod_mm
        grow = r + (rod - h)
        grow *= (rod + h) - r
        shrink = r + (h - rod)
        shrink *= r + (h + rod)
        grow *= shrink
        w = np.sqrt(np.maximum(grow, 0.0))
        return np.asarray(-w if self._horn_side < 0.0 else w)

    @cached_property
    def _horn_zero(self) -> float:
        """What `horn_movement` must take off so that δ(0) = 0: β, up to whole turns and rounding."""
        return float(self._horn_root(np.zeros(())))

    def arm_movement(self, delta_deg: Array) -> Array:
        """φ for δ within `horn_range`, on the branch through neutral, any shape [degrees]."""
        low, high = self.branch_deg
        zero = float(self._arm_root(np.zeros(())))
        phi = self._arm_root(np.asarray(delta_deg, dtype=np.float64)) - zero
        whole = np.round((np.clip(phi, low, high) - phi) / 360.0) * 360.0
        return np.asarray(np.clip(phi + whole, low, high))

    def _arm_root(self, delta_deg: Array) -> Array:
        angle = np.radians(self.horn_neutral_deg + delta_deg)
        bx = self.pivot_distance_mm + self.horn_mm * np.sin(angle)
        by = self.horn_mm * np.cos(angle)
        side = 1.0 if self._arm_side > 0.0 else -1.0
        return np.asarray(
            np.degrees(np.arctan2(bx, by) + side * _angle_opposite(self.rod_mm, self.arm_mm, np.hypot(bx, by)))
        )

    @cached_property
    def reach(self) -> tuple[float, float]:
        """Lowest and highest φ at which the linkage still follows; infinite where the arm turns freely.

        The dead points are where the horn pivot is |L − h| or L + h away from the arm tip; that distance
        depends only on sin(α + φ) = (a² + D² − r²) / 2aD.
        """
        a, d, h, rod = self.arm_mm, self.pivot_distance_mm, self.horn_mm, self.rod_mm
        near = (a * a + d * d - (rod - h) ** 2) / (2.0 * a * d)
        far = (a * a + d * d - (rod + h) ** 2) / (2.0 * a * d)
        alpha = self.arm_neutral_deg
        top = _arcsin(near) if near <= 1.0 + 1e-12 else None
        bottom = _arcsin(far) if far >= -1.0 - 1e-12 else None
        # Past the perpendicular the arm comes back on the other side, where the other dead point waits.
        round_top = np.inf if bottom is None else 180.0 - bottom - alpha
        round_bottom = -np.inf if top is None else -180.0 - top - alpha
        return (
            round_bottom if bottom is None else bottom - alpha,
            round_top if top is None else top - alpha,
        )

    @cached_property
    def turning_deg(self) -> Array:
        """Sorted φ within reach, and within one turn, at which arm and rod are in line and δ turns back.

        There the servo pivot is L + a or |L − a| away from the horn tip, so sin(β + δ) = (r² − D² − h²) / 2hD.
        """
        a, d, h, rod = self.arm_mm, self.pivot_distance_mm, self.horn_mm, self.rod_mm
        low, high = self.reach
        found: list[float] = []
        for distance, opposite in ((rod + a, False), (abs(rod - a), rod > a)):
            sine = (distance * distance - d * d - h * h) / (2.0 * h * d)
            if abs(sine) > 1.0 + 1e-12:
                continue
            for horn in (_arcsin(sine), 180.0 - _arcsin(sine)):
                bx, by = d + h * np.sin(np.radians(horn)), h * np.cos(np.radians(horn))
                arm = float(np.degrees(np.arctan2(bx, by))) + (180.0 if opposite else 0.0)
                for turn in (-720.0, -360.0, 0.0, 360.0):
                    phi = arm + turn - self.arm_neutral_deg
                    if low <= phi <= high and abs(phi) <= 360.0 and self._is_at(phi, horn):
                        found.append(phi)
        return _distinct(sorted(found))

    def _is_at(self, phi: float, horn_deg: float) -> bool:
        """Whether the continuous root really stands at this horn angle: the mirror image is another assembly."""
        reached = float(self.horn_movement(np.asarray(phi))) + self.horn_neutral_deg
        return abs((reached - horn_deg + 180.0) % 360.0 - 180.0) < 1e-4

    @cached_property
    def branch_deg(self) -> tuple[float, float]:
        """The φ around neutral over which δ is monotone: up to a dead point or a turning point."""
        low, high = self.reach
        turns = self.turning_deg
        at_neutral = bool(np.any(np.abs(turns) <= _SAME_DEG))
        above = turns[turns > _SAME_DEG]
        below = turns[turns < -_SAME_DEG]
        if above.size:
            high = min(high, float(above[0]))
        low = 0.0 if at_neutral else max(low, float(below[-1])) if below.size else low
        return max(low, -360.0), min(high, 360.0)

    @cached_property
    def horn_range(self) -> tuple[float, float]:
        """Lowest and highest δ on the branch through neutral."""
        low, high = self.branch_deg
        ends = self.horn_movement(np.array([low, high]))
        return float(np.min(ends)), float(np.max(ends))


def _angle_opposite(opposite: float, first: float, second: Array) -> Array:
    """Angle between two sides of a triangle, opposite the third, without the loss of arccos near 0 and 180°.

    tan²(θ/2) = (c² − (a − b)²) / ((a + b)² − c²), the half-angle form of the law of cosines.
    """
    grow = (opposite - (first - second)) * (opposite + (first - second))
    shrink = ((first + second) - opposite) * ((first + second) + opposite)
    return np.asarray(2.0 * np.arctan2(np.sqrt(np.maximum(grow, 0.0)), np.sqrt(np.maximum(shrink, 0.0))))


def _turns(angle: Array, arm_mm: float, pivot_distance_mm: float) -> Array:
    """Whole turns that the direction from the horn pivot to the arm tip has made, where the arm reaches round it."""
    if arm_mm <= pivot_distance_mm:
        return np.zeros_like(angle)
    cut = np.pi - np.arcsin(pivot_distance_mm / arm_mm)
    return np.asarray(2.0 * np.pi * np.floor((angle - cut) / (2.0 * np.pi) + 1.0))


def _arcsin(sine: float) -> float:
    return float(np.degrees(np.arcsin(min(1.0, max(-1.0, sine)))))


def _distinct(angles: list[float]) -> Array:
    kept: list[float] = []
    for angle in angles:
        if not kept or angle - kept[-1] > _SAME_DEG:
            kept.append(angle)
    return np.asarray(kept, dtype=np.float64)
