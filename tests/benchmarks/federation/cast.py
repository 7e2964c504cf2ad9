"""What stands in the addresses of a federation: an airframe as they mostly are, and the one with the longest history.

Words as in the table of `tests/hangar/access`. Small and large are given airframes that are like each other, since what
a page draws depends on the setup more than on anything else.
"""

from dataclasses import dataclass

from django.db.models import Count

from hangar.fleet.models import Airframe, Receiver, Transmitter
from hangar.flights.models import Flight, Grounding, ThrowCheck
from hangar.members.models import Invitation, Member, Visit
from hangar.setups.models import Entered
from hangar.sheets.models import Batch, Kind, Print

Cast = dict[str, str | int]


@dataclass(frozen=True)
class Like:
    """An airframe as it is looked for in the other federation."""

    slug: str
    layout: str
    revisions: int
    flights: int


def secretary() -> Member:
    return Member.objects.filter(role="secretary").order_by("pk")[0]


def _complete() -> list[Like]:
    """Airframes of which there is something on every page, with how much there is of them."""
    entered = Entered.objects.values("revision__airframe")
    read = ThrowCheck.objects.values("revision__airframe")
    printed = Print.objects.filter(kind=Kind.CHANGE_CARD).values("revision__airframe")
    rows = Airframe.objects.filter(status="airworthy", pk__in=entered, drafts=None, glance__receiver__gt="")
    rows = rows.filter(pk__in=read).filter(pk__in=printed)
    flown = dict(Flight.objects.values_list("revision__airframe").annotate(n=Count("pk")).order_by())
    found = rows.values_list("slug", "glance__layout", "glance__revision", "pk").order_by("glance__revision", "pk")
    return [Like(slug, layout, n, flown[pk]) for slug, layout, n, pk in found if pk in flown and n and n > 1]


def usual_and_longest() -> tuple[Like, Like]:
    every = _complete()
    return every[len(every) // 2], every[-1]


def most_like(other: Like) -> Like:
    """The same layout, and as nearly as there is one the same number of revisions and flights."""
    alike = [one for one in _complete() if one.layout == other.layout]
    return min(
        alike,
        key=lambda one: (abs(one.revisions - other.revisions) / other.revisions, abs(one.flights - other.flights)),
    )


def cast_of(like: Like) -> Cast:
    airframe = Airframe.objects.get(slug=like.slug)
    copy = Print.objects.filter(revision__airframe=airframe, kind=Kind.SETUP_SHEET)[0]
    check = ThrowCheck.objects.filter(revision__airframe=airframe)[0]
    return {
        "slug": like.slug, "bare": like.slug, "number": like.revisions, "2": like.revisions,
        "receiver": Receiver.objects.order_by("pk")[0].pk,
        "transmitter": Transmitter.objects.exclude(owner=None).order_by("pk")[0].pk,
        "club_transmitter": Transmitter.objects.filter(owner=None).order_by("pk")[0].pk, "token": "no-such-link",
        "invitation": Invitation.objects.order_by("pk")[0].pk, "member": Member.objects.order_by("pk")[1].pk,
        "visit_of_owner": Visit.objects.order_by("pk")[0].pk,
        "the_flight": Flight.objects.filter(revision__airframe=airframe)[0].pk, "copy": copy.pk,
        "copy_token": copy.token, "batch_of_owner": Batch.objects.filter(by=secretary())[0].pk, "the_check": check.pk,
        "elevator": check.readings.all()[0].surface, "grounded": Grounding.objects.order_by("pk")[0].pk,
    }  # fmt: skip
