"""The audit: everything about a setup that can hurt someone, lose the model, or surprise its pilot.

Every rule looks over all phases and all combinations of the controls. Each is a function of `mixing.findings` whose
docstring says when it speaks; `RULES` lists them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from .document import Setup
from .findings.directions import shared_channel, wrong_way
from .findings.ends import entangled, held, little_travel, past_stop, unreachable
from .findings.failsafe import failsafe_motor, failsafe_unset
from .findings.finding import Examined, Finding, Severity
from .findings.model import out_of_balance, too_few_channels
from .findings.motors import motor_at_rest, motor_lock, motor_with_brake
from .findings.pairs import off_neutral, uneven
from .findings.phases import phase_jump
from .findings.responses import curve_points, jump, rounding, uncompensated_brake

RULES: dict[str, Callable[[Examined], Iterator[Finding]]] = {
    "wrong-way": wrong_way,
    "shared-channel": shared_channel,
    "past-stop": past_stop,
    "unreachable": unreachable,
    "motor-at-rest": motor_at_rest,
    "motor-with-brake": motor_with_brake,
    "failsafe-motor": failsafe_motor,
    "too-few-channels": too_few_channels,
    "motor-lock": motor_lock,
    "phase-jump": phase_jump,
    "out-of-balance": out_of_balance,
    "held": held,
    "uneven": uneven,
    "off-neutral": off_neutral,
    "failsafe-unset": failsafe_unset,
    "jump": jump,
    "entangled": entangled,
    "uncompensated-brake": uncompensated_brake,
    "little-travel": little_travel,
    "rounding": rounding,
    "curve-points": curve_points,
}
"""What the audit knows, by the code of its findings; each rule says in its docstring when it speaks."""

CODES = tuple(RULES)
"""The codes, in the order in which findings of one severity are told."""

_SEVERITIES: tuple[Severity, ...] = ("warning", "caution", "note")


def audit(setup: Setup, receiver_channels: int | None = None) -> list[Finding]:
    """What to mend or to know before this setup flies.

    Parameters
    ----------
    setup : Setup
    receiver_channels : how many channels the receiver in the model has, where that is known

    Returns
    -------
    list of Finding
        Warnings, then cautions, then notes; within these in the order of `CODES`, then of the document. An empty list
        is no proof that the model is safe: the audit predicts, the model decides.

    Examples
    --------
    >>> [finding.code for finding in audit(setup)]
    ['past-stop', 'past-stop', 'past-stop', 'motor-lock']
    """
    examined = Examined(setup, receiver_channels)
    found = [finding for rule in RULES.values() for finding in rule(examined)]
    return sorted(found, key=lambda finding: _SEVERITIES.index(finding.severity))


__all__ = ["CODES", "Finding", "Severity", "audit"]
