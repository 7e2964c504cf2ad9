"""What is explained, by its anchor on the page, and the fields of forms that lead there."""

TOPICS = {
    "throw": "Throw, chord and stops",
    "unmeasured": "Unmeasured and estimated",
    "response": "Response and stations",
    "slope": "Slope and middle",
    "differential": "Differential",
    "expo": "Expo",
    "rates": "High and low rates",
    "crow": "Brake and crow",
    "compensation": "Compensation",
    "fades": "Fades",
    "phases": "Flight phases and stances",
    "channel": "Reversal, centre and limits",
    "y-lead": "Y-leads",
    "failsafe": "Failsafe",
    "balance": "Balance",
    "transmitter": "Your transmitter in five minutes",
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
