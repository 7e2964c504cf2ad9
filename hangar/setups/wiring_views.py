"""The channel map, edited in place: led by what moves, with what each change does told before and after."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from hangar.fleet.lookups import current_fitting, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.requests import SignedIn

from .editing import Data, desk_of, desk_posted, keep
from .errors import HistoryError, WiringError
from .findings import findings
from .rewiring import exchanged, on_channel, shared, turned, unshared
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
        keep(desk, data, post=request.POST)
        messages.success(request, told)
    except HistoryError as error:
        messages.error(request, str(error))
    return redirect(f"{reverse('setups:parts', args=[slug, 'channels'])}#{key}")


def _changed(data: Data, section: str, key: str, do: str) -> tuple[Data, str]:
    """The data after a change, and what was done, in words."""
    rows = data.get(section) or [] if section in ("surfaces", "devices") else []
    part = next((one for one in rows if one.get("key") == key), None)
    if part is None or not isinstance(part.get("channel"), int):
        raise WiringError("That part is not in this draft any more: look at the map again.")
    label, old = str(part.get("label")), part["channel"]
    if do == "reverse":
        return turned(data, old), (
            f"Channel {old} is reversed in the draft. Check the direction at the model, with the propeller off."
        )
    how, _, typed = do.partition(":")
    number = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 3 else 0
    if not 1 <= number <= 64:
        raise WiringError("Choose the channel to which it goes.")
    there = " + ".join(str(one.get("label")) for one in on_channel(data, number))
    if how == "exchange":
        others = " + ".join(str(one.get("label")) for one in on_channel(data, old))
        told = f"{others} and {there} changed places: channels {number} and {old}." if there else (
            f"Now on channel {number}: {others}."
        )  # fmt: skip
        return exchanged(data, old, number), f"{told} All that belongs to it went along; no throw changed."
    if how == "unshare":
        told = f"{label} is on channel {number} now, with a copy of all that moved it; no throw changed."
        return unshared(data, key, number), told
    if how == "share":
        return shared(data, key, number), f"{label} shares channel {number} with {there} by a Y-lead now."
    raise WiringError("Choose the channel to which it goes.")
