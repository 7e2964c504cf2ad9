"""Why a model is grounded or has to be looked at first, in words: standings and the line-up's rows keep codes."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from hangar.fleet.checks import WORDS as OF_CHECKS
from hangar.fleet.models import CheckKind, Status
from hangar.pictures.words import short

from .models import Condition, Verdict

READY, LOOK_FIRST, GROUNDED = "ready to fly", "look first", "grounded"
STATES = (READY, LOOK_FIRST, GROUNDED)
_CLASSES = {READY: "ready", LOOK_FIRST: "look-first", GROUNDED: "grounded"}


def state_class(state: str) -> str:
    """A state as a style sheet's class."""
    return _CLASSES.get(state, "look-first")


def state_words(state: str) -> str:
    """A state in the reader's language."""
    return {READY: _("ready to fly"), GROUNDED: _("grounded")}.get(state, _("look first"))


def verdict_words(verdict: str) -> str:
    """A verdict in the reader's language."""
    return str(Verdict(verdict).label)


def in_words(told: Iterable[Sequence[Any]]) -> list[str]:
    """Reasons as (code, values) in the reader's language; what only a newer version knows asks for another look."""
    return [_put(code)(**values) for code, values in told]


def _put(code: str) -> Callable[..., str]:
    return WORDS.get(code, _just_now)


def _just_now(**_values: Any) -> str:
    return _("something was logged just now: load the page again")


def _after_flight(condition: str, on: str) -> str:
    return _("{condition}, after the flight on {date}").format(
        condition=Condition(condition).label, date=date_format(date.fromisoformat(on), "DATE_FORMAT")
    )


def _warnings(count: int) -> str:
    return ngettext("the audit has {count} warning", "the audit has {count} warnings", count).format(count=count)


def _too_few(receiver: str, channels: int, highest: int) -> str:
    return _("{receiver} has {channels} channels, and the setup uses channel {highest}").format(
        receiver=receiver, channels=channels, highest=highest
    )


def _no_check(kind: str) -> str:
    return _("no failsafe check is recorded") if kind == CheckKind.FAILSAFE else _("no range check is recorded")


def _check_gone(kind: str, why: Sequence[Any]) -> str:
    code, values = why
    failsafe, other = _("the failsafe check no longer holds: {why}"), _("the range check no longer holds: {why}")
    return (failsafe if kind == CheckKind.FAILSAFE else other).format(why=OF_CHECKS[code](**values))


def _not_measured(surfaces: Sequence[str]) -> str:
    if not surfaces:
        return _("its throws were not measured since work on the model")
    return _("its throws were not measured since work on {surfaces}").format(surfaces=", ".join(surfaces))


def _club_rule(text: str) -> str:
    return _("club rule: {text}").format(text=text)


def _in_band(mass_g: float, band: str, asks: str) -> str:
    mass = short(mass_g, 0)
    if asks:
        told = _("it weighs {mass} g, which is in the band “{band}”: {asks}").format(mass=mass, band=band, asks=asks)
    else:
        told = _("it weighs {mass} g, which is in the band “{band}”").format(mass=mass, band=band)
    return _club_rule(told)


WORDS: dict[str, Callable[..., str]] = {
    "just-now": _just_now,
    "said": lambda reason: f"{reason}",
    "after-flight": _after_flight,
    "rebuilt": lambda note: _("rebuilt: {note}").format(note=note),
    "first-flight": lambda: _club_rule(_("a second person releases it before its first flight")),
    "status": lambda status: _("the airframe is {status}").format(status=Status(status).label),
    "no-setup": lambda: _("no setup is recorded"),
    "warnings": _warnings,
    "not-flown": lambda revision: _("revision {number} was not flown yet").format(number=revision),
    "rejected": lambda revision: _("revision {number} was rejected after a flight").format(number=revision),
    "not-entered": lambda: _("no record says what is in the transmitter"),
    "other-entered": lambda entered, head: _("revision {entered} is in the transmitter, not {head}").format(
        entered=entered, head=head
    ),
    "no-receiver": lambda: _("no receiver is recorded in it"),
    "too-few-channels": _too_few,
    "no-check": _no_check,
    "check-gone": _check_gone,
    "not-measured": _not_measured,
    "not-balanced": lambda: _("its balance was not measured since work on the model"),
    "no-mark": lambda: _club_rule(_("a mark is asked for, and none is recorded")),
    "mark-not-seen": lambda: _club_rule(_("nobody has seen its mark on the model as it is recorded")),
    "not-weighed": lambda: _club_rule(_("its flying mass was not weighed")),
    "in-band": _in_band,
}
"""A reason by its code."""


def sheet_words(behind: int | None, revision: int | None) -> str:
    """Of the sheet in the flight box: how many revisions it is behind the current one; None where none was printed."""
    if behind is None or revision is None:
        return _("none printed")
    return _("of revision {number}").format(number=revision - behind) if behind else _("up to date")


def checked_words(day: date | None, holds: bool | None) -> str:
    """When a check was made, and whether it still holds."""
    if day is None:
        return _("none")
    told = date_format(day, "DATE_FORMAT")
    return told if holds else _("{date}, stale").format(date=told)
