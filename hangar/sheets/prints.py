"""Reading what was printed: which sheets are current, and which should leave the flight box."""

from django.db.models import QuerySet

from hangar.fleet.models import Airframe
from hangar.setups.models import Revision

from .models import Kind, Print


def _setup_sheets(airframe: Airframe) -> QuerySet[Print]:
    return Print.objects.filter(revision__airframe=airframe, kind=Kind.SETUP_SHEET).select_related(
        "revision", "by__personal"
    )


def _newest(airframe: Airframe) -> QuerySet[Revision, int]:
    return Revision.objects.filter(airframe=airframe).order_by("-number").values_list("pk", flat=True)[:1]


def current_prints(airframe: Airframe) -> QuerySet[Print]:
    """Setup sheets of the newest revision, the latest print first."""
    return _setup_sheets(airframe).filter(revision__in=list(_newest(airframe)))


def superseded_prints(airframe: Airframe) -> QuerySet[Print]:
    """Setup sheets of earlier revisions: out of date, whatever they say."""
    return _setup_sheets(airframe).exclude(revision__in=list(_newest(airframe)))
