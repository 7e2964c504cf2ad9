"""What happens without a signal, for the channel map and for the check at the model."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from hangar.pictures.words import listed, short
from hangar.setups.failsafe import effect_words, failsafe_frame
from hangar.sheets.conditions import labels_on
from mixing.document import Channel, Device, Setup
from mixing.rig import Frame

_HOLDS = gettext_noop("holds")
_WORDS = {
    None: gettext_noop("has no failsafe set"),
    "last_position": _HOLDS,
    "signal_off": gettext_noop("without signal"),
}


def failsafe_words(setup: Setup, channel: Channel) -> str:
    """What the channel does when the signal is lost, with the throw or level that it means."""
    if isinstance(channel.failsafe, float):
        told = dict.fromkeys(effect for _, effect in _effects(setup, channel, failsafe_frame(setup)))
        travel = f"{short(channel.failsafe)} %"
        return f"{travel}: {', '.join(told)}" if told else travel
    return {None: _("not set"), "last_position": _("last position"), "signal_off": _("signal off")}[channel.failsafe]


def failsafe_check(setup: Setup) -> str:
    """What must be seen when the transmitter is switched off: what changes first, then what holds."""
    frame = failsafe_frame(setup)
    told: dict[str, list[str]] = {}
    for channel in setup.channels:
        for label, effect in _effects(setup, channel, frame):
            told.setdefault(effect, []).append(label)
    holding = told.pop(_(_HOLDS), [])
    parts = [f"{_subject(setup, labels)} {effect}" for effect, labels in told.items()]
    if holding:
        parts.append(_held(holding, alone=not told))
    return "; ".join(parts)


def _held(labels: list[str], *, alone: bool) -> str:
    if len(labels) > 2:
        return _("everything holds its last position") if alone else _("everything else holds")
    return ngettext("{surfaces} holds", "{surfaces} hold", len(labels)).format(surfaces=listed(labels))


def _subject(setup: Setup, labels: list[str]) -> str:
    every = {surface.label for surface in setup.surfaces}
    return _("every surface") if len(every) > 2 and every == set(labels) else listed(labels)


def _effects(setup: Setup, channel: Channel, frame: Frame) -> list[tuple[str, str]]:
    """(label, what it does) for every surface and device of a channel when the signal is lost."""
    if not isinstance(channel.failsafe, float):
        return [(label, _(_WORDS[channel.failsafe])) for label in labels_on(setup, channel.number)]
    surfaces = [(s.label, effect_words(s, frame)) for s in setup.surfaces_on(channel.number)]
    return surfaces + [(d.label, _device_effect(d, frame)) for d in setup.devices_on(channel.number)]


def _device_effect(device: Device, frame: Frame) -> str:
    level = short(float(frame.level_pct[device.key]))
    return _("off") if level == "0" else _("at {level} %").format(level=level)
