"""The model itself: where it balances, and whether its receiver has the channels."""

from __future__ import annotations

from collections.abc import Iterator

from ..language import say
from ..wording import capital, channel_words, length, length_figure, length_size, length_unit, lowered
from .finding import Examined, Finding


def out_of_balance(examined: Examined) -> Iterator[Finding]:
    """A load whose balance is outside the allowed range."""
    balance = examined.setup.balance
    low, high = balance.cg_low_mm, balance.cg_high_mm
    for load in balance.loads:
        if not low <= load.cg_mm <= high:
            place = length(load.cg_mm)
            if balance.cg_datum.strip():
                place = say("{length} behind {datum}", length=place, datum=lowered(balance.cg_datum))
            if load.cg_mm > high:
                over = say("{length} too far back", length=length_size(load.cg_mm - high))
            else:
                over = say("{length} too far forward", length=length_size(low - load.cg_mm))
            text = say(
                "With {load} the model balances {place}, {over}: the allowed range is {low} to {high} {unit}.",
                load=lowered(load.label),
                place=place,
                over=over,
                low=length_figure(low),
                high=length_figure(high),
                unit=length_unit(),
            )
            yield Finding("caution", "out-of-balance", f"balance/loads/{load.key}", text, {})


def too_few_channels(examined: Examined) -> Iterator[Finding]:
    """A channel number above the receiver's count."""
    count = examined.receiver_channels
    for channel in examined.setup.channels:
        if count is not None and channel.number > count:
            text = say(
                "{channel} does not exist on this receiver, which has {count} channels.",
                channel=channel_words(examined.setup, channel.number),
                count=count,
            )
            yield Finding("warning", "too-few-channels", f"channels/{channel.number}", capital(text), {})
