"""Failsafe and range checks: which stand, and what makes one stale."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import rfc8785
from django.utils.translation import gettext as _

from hangar.languages.kept import Kept, kept
from mixing import Setup

from .models import Binding, Check, Fitting


@dataclass(frozen=True)
class Standing:
    """Whether a check still holds, and why it does not; `why` is empty where it is current."""

    check: Check
    why: tuple[Kept, ...]

    @property
    def current(self) -> bool:
        return not self.why

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it does not hold, in sentences."""
        return tuple(WORDS[one.code](**one.values) for one in self.why)


WORDS: dict[str, Callable[..., str]] = {
    "not-passed": lambda: _("it was not passed"),
    "moved": lambda receiver: _("{receiver} was moved since").format(receiver=receiver),
    "other-transmitter": lambda made_with, now: _(
        "it was made with {made_with}, and the receiver now obeys {now}"
    ).format(made_with=made_with, now=now),
    "bound-again": lambda: _("the receiver was bound again since"),
    "failsafe-edited": lambda: _("the failsafe setting was edited since"),
    "work": lambda: _("work on the model touched it since"),
}
"""Why a check does not hold, by the code of it."""


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
    why = []
    if not check.passed:
        why.append(kept("not-passed"))
    if fitting is None or fitting.pk != check.fitting_id:
        why.append(kept("moved", receiver=str(check.fitting.receiver)))
    if binding is not None and binding.transmitter_id != check.transmitter_id:
        why.append(kept("other-transmitter", made_with=str(check.transmitter), now=str(binding.transmitter)))
    elif binding is not None and binding.at > check.at:
        why.append(kept("bound-again"))
    if failsafe_digest != check.failsafe_digest:
        why.append(kept("failsafe-edited"))
    if worked_at is not None and worked_at > check.at:
        why.append(kept("work"))
    return Standing(check, tuple(why))


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
