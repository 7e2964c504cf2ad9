"""From a flight to a draft: a compensation curve, or a home for a trim, looked at before it goes into the draft."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.form_pages import get_or_post
from hangar.pictures.words import short, throw_words
from hangar.requests import SignedIn, posted
from hangar.setups.editing import Desk, desk_of, desk_posted, keep
from hangar.setups.errors import DraftMoved, HistoryError
from hangar.setups.models import REASON_LENGTH
from hangar.setups.two_pages import tell_joined
from mixing import Setup, SetupError
from mixing.calibrate import CalibrationError
from mixing.solve import SolveError
from mixing.wording import lowered, together

from .models import Flight
from .observation_forms import CompensationForm, TrimForm
from .observations import Home, Proposal, braking, compensated, homes, part_of, pitching, trimmed
from .reports import get_flight_of


@dataclass
class Seen:
    """A flight, and the desk on which its observation becomes a draft."""

    airframe: Airframe
    flight: Flight
    desk: Desk
    setup: Setup

    def go_on(self) -> None:
        """Stand on what is stored now: another page changed the same thing."""
        self.desk = desk_of(self.desk.member, self.airframe)
        self.setup = self.desk.setup or self.setup

    @property
    def context(self) -> dict[str, Any]:
        flown = self.flight.revision
        crumbs = [
            *airframe_crumbs(self.airframe),
            (_("Flight"), reverse("flights:flight", args=[self.airframe.slug, self.flight.pk])),
        ]
        return {
            "airframe": self.airframe, "flight": self.flight, "desk": self.desk, "here": "line-up", "crumbs": crumbs,
            "other": None if flown.setup.digest() == self.setup.digest() else flown,
        }  # fmt: skip


def _seen(request: SignedIn, slug: str, pk: int) -> Seen | HttpResponse:
    """What both pages stand on; to the draft's own page where it is no setup yet."""
    airframe = get_editable_airframe_for(request.user, slug)
    flight = get_flight_of(airframe, pk)
    on_post = request.method == "POST"
    desk = desk_posted(request.user, airframe, request.POST) if on_post else desk_of(request.user, airframe)
    setup = desk.setup
    if setup is None:
        text = _("Your draft is not complete yet: finish it or throw it away, then come back to the flight.")
        messages.warning(request, text)
        return redirect("setups:draft", slug)
    return Seen(airframe, flight, desk, setup)


@get_or_post
def compensate(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """ "At half brake it needed 3 mm down": a curve of elevator with the brake."""
    seen = _seen(request, slug, pk)
    if isinstance(seen, HttpResponse):
        return seen
    if not braking(seen.setup) or not pitching(seen.setup):
        raise Http404("This setup has no lever that brakes, or no surface that holds the nose.")
    form = CompensationForm(posted(request), setup=seen.setup)
    found = _compensated(form) if form.is_valid() else None
    if found is not None and request.POST.get("do") == "draft":
        answer = _into_draft(request, seen, form, found.setup, _compensation_words(form))
        if answer is not None:
            return answer
        form.setup = seen.setup
        found = _compensated(form)
    return render(request, "flights/compensate.html", {**seen.context, "form": form, "found": found})


def _compensated(form: CompensationForm) -> Proposal | None:
    given = form.cleaned_data
    try:
        return compensated(
            form.setup, control=given["control"], surfaces=pitching(form.setup)[given["role"]],
            observations=form.observations, phase=given.get("phase"),
        )  # fmt: skip
    except SetupError as error:
        form.add_error(None, str(error.problems[0]))
    except (CalibrationError, SolveError) as error:
        form.add_error(None, str(error))
    return None


def _compensation_words(form: CompensationForm) -> str:
    control = form.setup.control(form.cleaned_data["control"])
    role = form.cleaned_data["role"]
    at = _("at {position} % {throw}")
    told = ", ".join(at.format(position=short(out), throw=throw_words(needed, role)) for out, needed in form.seen)
    return _("{surfaces} with {control} as it needed: {throws}").format(
        surfaces=together(one.label for one in pitching(form.setup)[role]), control=control.label, throws=told
    )


@get_or_post
def trim_home(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """ "Flew straight with 2 mm of up trim": where the trim goes for good."""
    seen = _seen(request, slug, pk)
    if isinstance(seen, HttpResponse):
        return seen
    if not trimmed(seen.setup):
        raise Http404("This setup has no surface that is trimmed.")
    form = TrimForm(posted(request), setup=seen.setup)
    found: list[Home] = []
    if form.is_valid():
        given = part_of(seen.setup, form.trims, form.cleaned_data.get("part", "all"))
        found = homes(seen.setup, given, form.cleaned_data.get("phase"))
        chosen = next((home for home in found if home.key == request.POST.get("home") and home.proposal), None)
        if request.POST.get("do") == "draft" and chosen is None:
            form.add_error(None, _("Choose where the trim goes."))
        elif request.POST.get("do") == "draft" and chosen is not None and chosen.proposal is not None:
            answer = _into_draft(request, seen, form, chosen.proposal.setup, _trim_words(seen.setup, given, chosen))
            if answer is not None:
                return answer
            found = homes(seen.setup, given, form.cleaned_data.get("phase"))
    return render(request, "flights/trim_home.html", {**seen.context, "form": form, "homes": found})


def _trim_words(setup: Setup, trims: dict[str, float], home: Home) -> str:
    told = ", ".join(
        f"{setup.surface(key).label} {throw_words(value, setup.surface(key).role)}" for key, value in trims.items()
    )
    text = _("flew straight with trim, {trims}: {home}, trims to centre")
    return text.format(trims=told, home=lowered(home.title))


def _into_draft(request: SignedIn, seen: Seen, form: forms.Form, setup: Setup, words: str) -> HttpResponse | None:
    """Keep it as the member's draft, and lead there with the reasoning; None where the form now says why not."""
    try:
        tell_joined(request, keep(seen.desk, setup.data()))
    except DraftMoved:
        text = _("Your draft was saved from another page meanwhile: what is shown now starts from that.")
        form.add_error(None, text)
        seen.go_on()
        return None
    except HistoryError as error:
        form.add_error(None, str(error))
        return None
    reason = _("Flight of {date} with revision {number}: {words}").format(
        date=date_format(seen.flight.flown_on, "DATE_FORMAT"), number=seen.flight.revision.number, words=words
    )[:REASON_LENGTH]
    messages.success(request, _("It is in your draft, with its reasoning. Look at what it changes, then record it."))
    return redirect(f"{reverse('setups:draft', args=[seen.airframe.slug])}?{urlencode({'reason': reason})}#record")
