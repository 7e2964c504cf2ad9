"""Failsafe and range checks: which stand, and what makes one stale."""

import hashlib
from dataclasses import dataclass
from datetime import datetime

import rfc8785

from mixing import Setup

from .lookups import current_fitting
from .models import Airframe, Binding, Check, CheckKind, Fitting


@dataclass(frozen=True)
class Standing:
    """Whether a check still holds. `reasons` says in sentences why it does not; empty where it is current."""

    check: Check
    reasons: tuple[str, ...]

    @property
    def current(self) -> bool:
        return not self.reasons


def standing(
    check: Check,
    *,
    fitting: Fitting | None,
    binding: Binding | None,
    failsafe_digest: str | None,
    worked_at: datetime | None = None,
) -> Standing:
    """What has become of a check, given what is so today.

    `fitting` and `binding` are today's, of the airframe and its receiver; `failsafe_digest` is that of the setup which
    is flown now; `worked_at` is when work last touched the receiver, its wiring or a failsafe's device.
    """
    reasons = []
    if not check.passed:
        reasons.append("it was not passed")
    if fitting is None or fitting.pk != check.fitting_id:
        reasons.append(f"{check.fitting.receiver} was moved since")
    if binding is not None and binding.transmitter_id != check.transmitter_id:
        reasons.append(f"it was made with {check.transmitter}, and the receiver now obeys {binding.transmitter}")
    elif binding is not None and binding.at > check.at:
        reasons.append("the receiver was bound again since")
    if failsafe_digest != check.failsafe_digest:
        reasons.append("the failsafe setting was edited since")
    if worked_at is not None and worked_at > check.at:
        reasons.append("work on the model touched it since")
    return Standing(check, tuple(reasons))


def latest_checks(airframe: Airframe) -> dict[str, Check]:
    """The newest check of each kind that was made on this airframe."""
    checks = Check.objects.filter(fitting__airframe=airframe).select_related("fitting__receiver", "transmitter", "by")
    return {kind: found for kind in CheckKind.values if (found := checks.filter(kind=kind).first()) is not None}


def standings(
    airframe: Airframe, *, failsafe_digest: str | None, worked_at: datetime | None = None
) -> dict[str, Standing]:
    """The newest check of each kind with its standing; a kind that was never checked is left out."""
    fitting = current_fitting(airframe)
    binding = None
    if fitting is not None:
        binding = Binding.objects.filter(receiver=fitting.receiver_id).select_related("transmitter").first()
    return {
        kind: standing(check, fitting=fitting, binding=binding, failsafe_digest=failsafe_digest, worked_at=worked_at)
        for kind, check in latest_checks(airframe).items()
    }


def failsafe_digest(setup: Setup) -> str:
    """SHA-256 of what the receiver does when the signal is lost: each channel's failsafe setting, and for a position
    all that makes a pulse of it (reversal, centre, limits, the transmitter's figures); and what each channel serves."""
    settings: dict[str, list[str | float | bool | None]] = {}
    for channel in setup.channels:
        setting: list[str | float | bool | None] = [channel.failsafe]
        if isinstance(channel.failsafe, float | int):
            setting += [channel.reversed, channel.centre_us, channel.low_us, channel.high_us, setup.signal.per_100_us]
        setting += sorted(surface.key for surface in setup.surfaces_on(channel.number))
        setting += sorted(device.key for device in setup.devices_on(channel.number))
        settings[str(channel.number)] = setting
    return hashlib.sha256(rfc8785.dumps(settings)).hexdigest()
