"""What is explained, by its anchor on the page, and the fields of forms that lead there."""

from django.utils.translation import gettext_lazy as _

TOPICS = {
    "start": _("Your first day here"),
    "states": _("Ready to fly, look first, grounded"),
    "throw": _("Throw, chord and stops"),
    "unmeasured": _("Unmeasured and estimated"),
    "response": _("Response and stations"),
    "slope": _("Slope and middle"),
    "differential": _("Differential"),
    "expo": _("Expo"),
    "rates": _("High and low rates"),
    "crow": _("Brake and crow"),
    "compensation": _("Compensation"),
    "fades": _("Fades"),
    "phases": _("Flight phases and stances"),
    "channel": _("Reversal, centre and limits"),
    "y-lead": _("Y-leads"),
    "failsafe": _("Failsafe"),
    "balance": _("Balance"),
    "transmitter": _("Your transmitter in five minutes"),
    "keys": _("Keys of the bench"),
}

FIELDS = {
    "chord_mm": "throw", "want_0": "throw", "chord_aileron": "throw",
    "SurfaceForm.kind": "unmeasured", "points": "unmeasured", "deg_per_1000_us": "unmeasured",
    "slope": "slope", "expo_pct": "expo", "fade_0": "fades", "stance_1": "phases",
    "reversed": "channel", "ChannelForm.centre_us": "channel", "low_us": "channel",
    "SurfaceForm.channel": "y-lead",
    "failsafe": "failsafe", "cg_datum": "balance", "BalanceCheckForm.cg_mm": "balance",
    "lever_forward": "transmitter", "expo_positive": "transmitter", "centre_unit": "transmitter",
    "reversal": "transmitter",
}  # fmt: skip
"""By the name of the field, led by that of its form where other forms have a field of that name too."""


def topic_of(form: str, field: str) -> str:
    """The anchor of the explanation of a field; "" where it has none."""
    return FIELDS.get(f"{form}.{field}") or FIELDS.get(field, "")
