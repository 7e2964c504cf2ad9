"""Reading what flying showed."""

from collections.abc import Iterable

from django.db.models import OuterRef, QuerySet, Subquery
from django.http import Http404

from hangar.fleet.models import Airframe
from hangar.setups.models import Revision

from .models import Flight, Grounding, Verdict


def last_verdict() -> Subquery:
    """For `Revision.objects.annotate(last_verdict=last_verdict())`: that of its latest flight, None where none was."""
    latest = Flight.objects.filter(revision=OuterRef("pk")).order_by("-flown_on", "-recorded_at", "-pk")
    return Subquery(latest.values("verdict")[:1])


def get_flight_of(airframe: Airframe, pk: int) -> Flight:
    """One flight of an airframe that was looked up with its permission, also a withdrawn one; Http404 where there is
    none."""
    flights = Flight.everything.filter(revision__airframe=airframe, pk=pk)
    people = ("pilot__personal", "by__personal", "withdrawn_by__personal")
    found = flights.select_related("revision__document", "grounding", *people).first()
    if found is None:
        raise Http404(f"{airframe} has no flight number {pk}.")
    return found


def last_load(revision: Revision) -> str:
    """With which load the airframe flew last, where this revision has it too; the only one where there is one."""
    loads = [one.key for one in revision.setup.balance.loads]
    flown = Flight.objects.filter(revision__airframe=revision.airframe_id).values_list("load", flat=True).first()
    return flown if flown in loads else loads[0] if len(loads) == 1 else ""


def last_that_flew_well(airframe: Airframe) -> Revision | None:
    """The newest revision whose last verdict is keep."""
    return (
        Revision.objects.filter(airframe=airframe)
        .select_related("document")
        .annotate(last_verdict=last_verdict())
        .filter(last_verdict=Verdict.KEEP)
        .order_by("-number")
        .first()
    )


def way_back(airframe: Airframe, head: Revision) -> Revision | None:
    """Where to roll back from the current revision: to the last that flew well, else to the one before; None where
    there is no other."""
    well = last_that_flew_well(airframe)
    if well is not None and well.pk != head.pk:
        return well
    earlier = Revision.objects.of(airframe).filter(number__lt=head.number)
    return earlier.select_related("document").order_by("-number").first()


def flew_well_as(airframe: Airframe, revisions: Iterable[Revision]) -> dict[int, int]:
    """For revisions whose own document flew well under another number, that number: {primary key: number}.

    A rolled-back document carries no verdict of its own until it is flown. One query, however many are asked for.
    """
    asked = list(revisions)
    alike = Revision.objects.filter(airframe=airframe, document__in={one.document_id for one in asked})
    kept = alike.annotate(last_verdict=last_verdict()).filter(last_verdict=Verdict.KEEP).order_by("number")
    by_document: dict[str, list[int]] = {}
    for document, number in kept.values_list("document", "number"):
        by_document.setdefault(document, []).append(number)
    found: dict[int, int] = {}
    for one in asked:
        others = [number for number in by_document.get(one.document_id, ()) if number != one.number]
        if others:
            found[one.pk] = others[-1]
    return found


def sheets_out_of_date(airframe: Airframe, head: Revision) -> list[int]:
    """Numbers of earlier revisions whose sheet was printed: it may still lie in the flight box. The newest first."""
    # By the name of the relation: what was printed is kept by the sheets' own package, beside this one.
    printed = Revision.objects.filter(airframe=airframe, number__lt=head.number, prints__kind="setup_sheet")
    return list(printed.order_by("-number").values_list("number", flat=True).distinct())


def open_groundings(airframe: Airframe) -> QuerySet[Grounding]:
    return Grounding.objects.filter(airframe=airframe, released_at=None).select_related("by__personal")


def is_grounded(airframe: Airframe) -> bool:
    return Grounding.objects.filter(airframe=airframe, released_at=None).exists()
