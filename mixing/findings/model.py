"""The model itself: where it balances, and whether its receiver has the channels."""

from __future__ import annotations

from collections.abc import Iterator

from ..wording import channel_label, lowered, number
from .finding import Examined, Finding


def out_of_balance(examined: Examined) -> Iterator[Finding]:
    """A load whose balance is outside the allowed range."""
    balance = examined.setup.balance
    low, high = balance.cg_low_mm, balance.cg_high_mm
    for load in balance.loads:
        if not low <= load.cg_mm <= high:
            over = f"{number(load.cg_mm - high)} mm too far back" if load.cg_mm > high else ""
            over = over or f"{number(low - load.cg_mm)} mm too far forward"
            datum = f" behind {lowered(balance.cg_datum)}" if balance.cg_datum.strip() else ""
            text = (
                f"With {lowered(load.label)} the model balances {number(load.cg_mm)} mm{datum}, {over}: "
                f"the allowed range is {number(low)} to {number(high)} mm."
            )
            yield Finding("caution", "out-of-balance", f"balance/loads/{load.key}", text, {})


def too_few_channels(examined: Examined) -> Iterator[Finding]:
    """A channel number above the receiver's count."""
    count = examined.receiver_channels
    for channel in examined.setup.channels:
        if count is not None and channel.number > count:
            moved = lowered(channel_label(examined.setup, channel.number))
            text = f"Channel {channel.number} ({moved}) does not exist on this receiver, which has {count} channels."
            yield Finding("warning", "too-few-channels", f"channels/{channel.number}", text, {})
