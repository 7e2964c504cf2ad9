"""The channel map, edited in place: led by what moves, with what each change does told before and after."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from hangar.fleet.lookups import current_fitting, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.requests import SignedIn

from .editing import Data, desk_of, desk_posted, keep
from .errors import HistoryError, WiringError
from .findings import findings
from .rewiring import exchanged, on_channel, shared, turned, unshared
from .two_pages import tell_joined
from .wiring import wiring


def channel_map_page(request: SignedIn, airframe: Airframe, ctx: dict[str, object]) -> HttpResponse:
    """The map of the member's draft."""
    desk = desk_of(request.user, airframe)
    setup = desk.setup
    fitting = current_fitting(airframe)
    count = fitting.receiver.channels if fitting else None
    found = findings(setup, receiver_channels=count) if setup is not None else ()
    shown = {"desk": desk, "setup": setup, "fitting": fitting, "map": wiring(desk.data, setup, found, count)}
    return render(request, "setups/wiring.html", {**ctx, **shown})


@require_POST
def rewire(request: SignedIn, slug: str) -> HttpResponse:
    """Reverse a channel, or plug a part in elsewhere."""
    airframe = get_editable_airframe_for(request.user, slug)
    desk = desk_posted(request.user, airframe, request.POST)
    section, key = request.POST.get("section", ""), request.POST.get("key", "")
    try:
        data, told = _changed(desk.data, section, key, request.POST.get("do", ""))
        kept = keep(desk, data)
        messages.success(request, told)
        tell_joined(request, kept)
    except HistoryError as error:
        messages.error(request, str(error))
    return redirect(f"{reverse('setups:parts', args=[slug, 'channels'])}#{key}")


def _changed(data: Data, section: str, key: str, do: str) -> tuple[Data, str]:
    """The data after a change, and what was done, in words."""
    rows = data.get(section) or [] if section in ("surfaces", "devices") else []
    part = next((one for one in rows if one.get("key") == key), None)
    if part is None or not isinstance(part.get("channel"), int):
        raise WiringError(_("That part is not in this draft any more: look at the map again."))
    old = part["channel"]
    if do == "reverse":
        told = _(
            "Channel {channel} is reversed in the draft. Check the direction at the model, with the propeller off."
        )
        return turned(data, old), told.format(channel=old)
    how, _colon, typed = do.partition(":")
    number = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 3 else 0
    if not 1 <= number <= 64:
        raise WiringError(_("Choose the channel to which it goes."))
    return _plugged(data, part, how, number)


def _plugged(data: Data, part: Data, how: str, number: int) -> tuple[Data, str]:
    """The data with a part plugged in elsewhere, and what was done."""
    old = part["channel"]
    labels = {
        "part": part.get("label"), "channel": number, "old": old, "here": _labels(data, old),
        "there": _labels(data, number),
    }  # fmt: skip
    if how == "exchange":
        told = _("Now on channel {channel}: {here}. All that belongs to it went along; no throw changed.")
        if labels["there"]:
            told = _(
                "{here} and {there} changed places: channels {channel} and {old}. "
                "All that belongs to it went along; no throw changed."
            )
        return exchanged(data, old, number), told.format(**labels)
    if how == "unshare":
        told = _("{part} is on channel {channel} now, with a copy of all that moved it; no throw changed.")
        return unshared(data, part["key"], number), told.format(**labels)
    if how == "share":
        told = _("{part} shares channel {channel} with {there} by a Y-lead now.")
        return shared(data, part["key"], number), told.format(**labels)
    raise WiringError(_("Choose the channel to which it goes."))


def _labels(data: Data, number: int) -> str:
    """What is plugged into a channel, in words."""
    return " + ".join(str(one.get("label")) for one in on_channel(data, number))
