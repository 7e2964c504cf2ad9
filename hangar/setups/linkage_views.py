"""Linkages: to scale as they are, from readings of a ruler, and which holes to take for wanted throws."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.pictures.edge import is_beyond
from hangar.pictures.linkage import linkage_picture
from hangar.pictures.profile import profile
from hangar.pictures.pulses import pulse_picture
from hangar.pictures.words import short
from hangar.requests import SignedIn
from mixing.calibrate import Calibrated
from mixing.document import FourBar, Setup, Surface

from .crumbs import airframe_crumbs, edit_crumbs
from .editing import Data, Desk, desk_of, desk_posted, keep, place_of
from .errors import DraftMoved, HistoryError
from .history import current_head
from .linkage_forms import HolesForm, ReadingsForm, holes_asked, taking
from .matrix import Cell, throw_told
from .reaches import Stand, reach_of
from .surface_forms import points_text
from .two_pages import tell_joined

KINDS = {
    "four_bar": gettext_noop("From its lengths."),
    "measured": gettext_noop("Measured with a ruler."),
    "unmeasured": gettext_noop("Not measured yet: everything said of it is an estimate."),
}


@dataclass(frozen=True)
class Drawn:
    """A surface with its linkage as pictures and figures."""

    surface: Surface
    kind: str
    pictures: tuple[tuple[str, str, str], ...]
    ends: tuple[tuple[Cell, Stand], ...]

    @property
    def beyond(self) -> list[Cell]:
        """The ends at which it goes further than it can."""
        return [cell for cell, stand in self.ends if is_beyond(self.surface, stand.deflection_deg)]


def drawn(setup: Setup, surface: Surface) -> Drawn:
    """The linkage as the setup has it, at neutral and at both ends of what is asked of it."""
    stands = reach_of(setup, surface)
    channel = setup.channel(surface.channel)
    pulses = tuple(stand.pulse_us for stand in stands)
    pictures: list[tuple[str, str, str]] = []
    linkage = surface.linkage
    if isinstance(linkage, FourBar):
        wide, narrow = (
            linkage_picture(surface, linkage, pulses, width=width, type_px=size)
            for width, size in ((760, 15), (340, 13))
        )
        words = _(
            "To scale, seen along the hinge. The thickest is neutral. A cross is where the arm must not come: there "
            "the rod is in line with the horn or with the arm."
        )
        pictures.append((wide, narrow, words))
    else:
        throws, degrees = (stands[0].throw_mm, stands[1].throw_mm), (stands[0].deflection_deg, stands[1].deflection_deg)
        estimated = stands[0].estimated or stands[1].estimated
        wide, narrow = (
            profile(surface, throws, degrees, estimated=estimated, width=width, height=height)
            for width, height in ((420, 230), (340, 210))
        )
        pictures.append((wide, narrow, _("At true angles, at both ends of what the setup asks of it.")))
    wide, narrow = (
        pulse_picture(
            surface, linkage, centre_us=setup.signal.centre_us, limits_us=(channel.low_us, channel.high_us),
            used_us=pulses, width=width, height=height, type_px=size,
        )
        for width, height, size in ((560, 320, 16), (340, 260, 14))
    )  # fmt: skip
    pictures.append((wide, narrow, _("Thick is what the setup uses; dashed upright lines are the channel's limits.")))
    ends = tuple((throw_told(surface, stand.throw_mm, estimated=stand.estimated), stand) for stand in stands)
    return Drawn(surface, _(KINDS[linkage.kind]), tuple(pictures), ends)


def _told_once(found: Iterable[Drawn]) -> list[Drawn]:
    """What is said below the pictures, below the first of each kind only."""
    told: set[str] = set()
    kept = []
    for one in found:
        pictures = tuple((wide, narrow, "" if words in told else words) for wide, narrow, words in one.pictures)
        told |= {words for _wide, _narrow, words in one.pictures}
        kept.append(replace(one, pictures=pictures))
    return kept


@require_safe
def linkages(request: SignedIn, slug: str) -> HttpResponse:
    """Every linkage of the current setup, for everyone to look at."""
    airframe = get_airframe_for(request.user, slug)
    head = current_head(airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    found = (drawn(head.setup, one) for one in head.setup.surfaces)
    ctx = {
        "airframe": airframe, "revision": head, "all": _told_once(found),
        "crumbs": airframe_crumbs(airframe), "here": "line-up",
    }  # fmt: skip
    return render(request, "setups/linkages.html", ctx)


@get_or_post
def linkage(request: SignedIn, slug: str, index: int) -> HttpResponse:
    """One linkage of the draft: drawn, fitted to readings, or found by its holes."""
    airframe = get_editable_airframe_for(request.user, slug)
    is_post = request.method == "POST"
    desk = desk_posted(request.user, airframe, request.POST) if is_post else desk_of(request.user, airframe)
    rows = desk.data.get("surfaces") or []
    if index >= len(rows):
        raise Http404(f"There is no surface number {index} in this draft.")
    setup = desk.setup
    here = reverse("setups:linkage", args=[slug, index])
    ctx: dict[str, Any] = {
        "airframe": airframe, "desk": desk, "index": index, "name": rows[index].get("label", ""), "here": "line-up",
        "crumbs": edit_crumbs(airframe, (_("Surfaces and linkages"), reverse("setups:parts", args=[slug, "surfaces"]))),
    }  # fmt: skip
    if setup is None:
        return render(request, "setups/linkage.html", ctx)
    surface = setup.surface(rows[index]["key"])
    if is_post:
        answer = _posted(request, desk, surface, index, here, ctx)
        if answer is not None:
            return answer
        setup = ctx["desk"].setup or setup
        surface = setup.surface(surface.key)
    ctx |= {"drawn": drawn(setup, surface), "setup": setup, **_asked(request, setup, surface, ctx)}
    return render(request, "setups/linkage.html", ctx)


def _posted(
    request: SignedIn, desk: Desk, surface: Surface, index: int, here: str, ctx: dict[str, Any]
) -> HttpResponse | None:
    """Fit readings and show them; or put what was found into the draft. None where the page is to be shown again."""
    setup = desk.setup
    assert setup is not None, "the page of an incomplete draft has no forms"
    do = request.POST.get("do", "")
    if do == "holes":
        form = HolesForm(request.POST, setup=setup, surface=surface)
        # One pair of holes was chosen: the form finds it again, with everything that belongs to it.
        pairs = form.choices()
        if not pairs:
            ctx["holes_form"] = form
            return None
        linkage = pairs[0].linkage.model_dump(mode="json")
        told = _("Arm and horn are in the draft. The throws changed with them: set them anew under Throws.")
    else:
        form_read = ReadingsForm(request.POST, setup=setup, surface=surface)
        ctx["readings_form"] = form_read
        if not form_read.is_valid() or form_read.fitted is None:
            return None
        ctx["fitted"] = _fitted(surface, form_read.measurements, form_read.fitted, setup)
        if do != "take":
            return None
        linkage = form_read.fitted.linkage.model_dump(mode="json")
        told = _("The readings are the linkage in the draft now. Look at what they change there, then record it.")
    try:
        kept = keep(desk, _with_linkage(desk.data, index, linkage))
    except DraftMoved as moved:
        return _moved(request, desk, index, moved, ctx)
    except HistoryError as error:
        messages.error(request, str(error))
        return redirect(here)
    messages.success(request, told)
    tell_joined(request, kept)
    return redirect(here)


def _moved(request: SignedIn, desk: Desk, index: int, moved: DraftMoved, ctx: dict[str, Any]) -> HttpResponse | None:
    """Go on from what is stored now; None where the page is shown with that."""
    now = desk_of(request.user, desk.airframe)
    if now.setup is None or place_of(now.data["surfaces"], desk.data["surfaces"][index]) != index:
        messages.error(request, str(moved))
        return redirect("setups:parts", desk.airframe.slug, "surfaces")
    ctx |= {"moved": moved, "desk": now}
    return None


def _with_linkage(data: Data, index: int, linkage: Data) -> Data:
    rows = list(data["surfaces"])
    rows[index] = {**rows[index], "linkage": linkage}
    return {**data, "surfaces": rows}


def _asked(request: SignedIn, setup: Setup, surface: Surface, ctx: dict[str, Any]) -> dict[str, Any]:
    """The two forms, as they were sent or as they begin."""
    stands = reach_of(setup, surface)
    readings = ctx.get("readings_form") or ReadingsForm(
        initial={"readings": request.GET.get("readings") or _known(surface)}, setup=setup, surface=surface
    )
    holes = ctx.get("holes_form")
    start = holes_asked(surface, (stands[0].throw_mm, stands[1].throw_mm))
    if holes is None and "up_mm" in request.GET:
        holes = HolesForm(request.GET, setup=setup, surface=surface)
    pairs = holes.choices() if holes is not None else ()
    offers = [(pair, taking(holes, pair)) for pair in pairs] if holes is not None else []
    holes = holes or HolesForm(initial=start, setup=setup, surface=surface)
    return {"readings_form": readings, "holes_form": holes, "pairs": pairs, "offers": offers}


def _known(surface: Surface) -> str:
    """The readings that the draft has."""
    linkage = surface.linkage
    return points_text([list(point) for point in linkage.points], surface.role) if linkage.kind == "measured" else ""


def _fitted(
    surface: Surface, measurements: list[tuple[float, float]], fitted: Calibrated, setup: Setup
) -> dict[str, Any]:
    """What the readings make, with how far each lies from it."""
    channel = setup.channel(surface.channel)
    rows = [
        {
            "pulse": f"{short(pulse, 1)} µs", "read": throw_told(surface, throw),
            "gives": throw_told(surface, throw - apart), "apart": abs(apart), "off": abs(apart) > 0.5,
        }
        for (pulse, throw), apart in zip(measurements, fitted.residuals_mm, strict=True)
    ]  # fmt: skip
    wide, narrow = (
        pulse_picture(
            surface, fitted.linkage, centre_us=setup.signal.centre_us, limits_us=(channel.low_us, channel.high_us),
            readings=measurements, width=width, height=height,
        )
        for width, height in ((560, 300), (340, 250))
    )  # fmt: skip
    return {"rows": rows, "play": fitted.play_mm, "wide": wide, "narrow": narrow}
