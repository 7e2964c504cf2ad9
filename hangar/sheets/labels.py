"""Names short enough for the columns of a sheet. The channel map alone carries the names in full."""

from collections import Counter

from django.utils.translation import gettext as _

from hangar.pictures.words import side_of, without_side
from mixing.document import Setup

# Ends of controls, and how much longer than a surface's name that of a control may be.
_PLUS = 16
_CONTROL = 6


def short_label(label: str, length: int) -> str:
    """`label`, cut with an ellipsis where it is longer than `length` characters.

    A name with a side keeps it, and is cut where its partner's is cut, so that the two still read as a pair.

    >>> short_label("Left inner wing flap", 14)
    'Left inner w…'
    """
    if len(label) <= length:
        return label
    side = side_of(label).capitalize()
    return f"{side} {_cut(without_side(label), length - 6)}" if side else _cut(label, length)


def _cut(text: str, length: int) -> str:
    return text if len(text) <= length else text[: length - 1].rstrip() + "…"


def with_short_labels(setup: Setup, length: int) -> Setup:
    """The same setup with names of at most about `length` characters.

    Two surfaces or devices whose names become the same by the cut are told apart by their channel.
    """
    channels = {s.key: (s.label, s.channel) for s in setup.surfaces} | {
        f"device {d.key}": (d.label, d.channel) for d in setup.devices
    }
    cut = {key: short_label(label, length) for key, (label, _number) in channels.items()}
    counts = Counter(cut.values())
    told = {
        key: _("{name} (ch {channel})").format(name=cut[key], channel=n) if counts[cut[key]] > 1 else cut[key]
        for key, (_label, n) in channels.items()
    }
    plus = [short_label(control.plus, _PLUS) for control in setup.controls]
    return setup.changed(
        surfaces=[s.model_copy(update={"label": told[s.key]}) for s in setup.surfaces],
        devices=[d.model_copy(update={"label": told[f"device {d.key}"]}) for d in setup.devices],
        controls=[
            c.model_copy(update={"label": short_label(c.label, length + _CONTROL), "plus": end})
            for c, end in zip(setup.controls, plus, strict=True)
        ],
        phases=[p.model_copy(update={"label": short_label(p.label, length)}) for p in setup.phases],
    )
