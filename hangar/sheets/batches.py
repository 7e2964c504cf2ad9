"""Many sheets at once: each made by a task of its own, here or by workers on other machines, and put together."""

import io
import logging
import time
import zipfile
from collections.abc import Iterable, Iterator
from datetime import timedelta

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.languages.speaking import speaking, unit_of_length
from hangar.members.models import Member
from hangar.members.policy import guard
from hangar.setups.history import current_head
from hangar.setups.models import Revision

from .binding import bound
from .errors import PrintError
from .models import Batch, BatchItem, ItemState, Kind, Print, as_printed
from .operations import check_paper, record_print
from .render import facts_of

_log = logging.getLogger(__name__)

# A worker that was killed leaves its item behind; after this time another one may take it. Making it twice is harmless.
GIVEN_UP = timedelta(minutes=5)
# What a sheet says of its copy.
_TOLD = ("revision__airframe", "revision__author__personal", "by__personal")


def with_setup(airframes: QuerySet[Airframe]) -> QuerySet[Airframe]:
    """Those that have something to print, with the number of their newest revision and of the sheet in the box."""
    recorded = airframes.filter(Exists(Revision.objects.filter(airframe=OuterRef("pk"))))
    newest = Revision.objects.filter(airframe=OuterRef("pk")).order_by("-number").values("number")[:1]
    printed = Print.objects.filter(revision__airframe=OuterRef("pk"), kind=Kind.SETUP_SHEET).order_by("-at", "-pk")
    found = recorded.annotate(newest=Subquery(newest), in_box=Subquery(printed.values("revision__number")[:1]))
    return found.order_by("name", "slug")


def out_of_date(airframes: QuerySet[Airframe]) -> QuerySet[Airframe]:
    """Those whose sheet in the box is not that of the newest revision, or who have none."""
    return with_setup(airframes).filter(Q(in_box=None) | ~Q(in_box=F("newest")))


def count_out_of_date(airframes: QuerySet[Airframe]) -> int:
    """How many those are, by what is kept of each: looking at every print of a large club takes a second."""
    # By the name of the relation: the rows of the line-up are kept by the flights' own package, beside this one.
    kept = airframes.filter(glance__revision__isnull=False)
    return kept.filter(Q(glance__sheet_behind=None) | Q(glance__sheet_behind__gt=0)).count()


def start_batch(*, user: Member, airframes: Iterable[Airframe], paper: str, base: str, what: str) -> Batch:
    """A batch of the newest sheets of `airframes`, nothing of it made yet.

    Raises
    ------
    NotAllowed
        The member may not see one of them.
    PrintError
        There are none, or there is no such paper.
    """
    chosen = list(airframes)
    if not chosen:
        raise PrintError(_("There is no sheet to print here: choose another group, or tick some airframes."))
    check_paper(paper)
    seen = Airframe.objects.visible_to(user).filter(pk__in=[airframe.pk for airframe in chosen])
    for airframe in {*chosen}.difference(seen):
        guard(user, "view", airframe)
    with transaction.atomic():
        batch = Batch.objects.create(
            by=user, paper=paper, base=base, what=what, language=get_language() or "", length_unit=unit_of_length()
        )
        BatchItem.objects.bulk_create(BatchItem(batch=batch, airframe=airframe) for airframe in chosen)
    return batch


def go_on(batch: Batch, *, seconds: float = 2.0) -> None:
    """Hand out what is waiting, for about as long as a page may take: where no worker is set up, each is made at once.

    What was handed out long ago and never came back is handed out again.
    """
    from .tasks import make_sheet

    end = time.monotonic() + seconds
    late = Q(state=ItemState.QUEUED, queued_at__lt=timezone.now() - GIVEN_UP)
    todo = BatchItem.objects.filter(Q(state=ItemState.WAITING) | late, batch=batch)
    for pk in list(todo.values_list("pk", flat=True)):
        # Two pages of one member may ask at once: whoever changes the row hands it out.
        if todo.filter(pk=pk).update(state=ItemState.QUEUED, queued_at=timezone.now()):
            make_sheet.enqueue(pk)
        if time.monotonic() > end:
            break


def make_item(pk: int) -> None:
    """Make one sheet of a batch and keep it. What cannot be made is noted at the item and stops nothing else."""
    item = BatchItem.objects.select_related("batch__by", "airframe").filter(pk=pk).first()
    if item is None or item.state == ItemState.DONE:
        return
    try:
        with speaking(item.batch.language, item.batch.length_unit):
            copy = _copy_for(item)
            facts_of(copy.revision, copy, item.batch.base).pdf(item.batch.paper)
        state, error = ItemState.DONE, ""
    except Exception as failure:
        _log.exception("The sheet of %s could not be made.", item.airframe.slug)
        state, error = ItemState.FAILED, f"{type(failure).__name__}: {failure}"[:300]
    BatchItem.objects.filter(pk=pk).update(state=state, error=error)


def _copy_for(item: BatchItem) -> Print:
    """The copy of an item, recorded once however often it is made."""
    with transaction.atomic():
        locked = BatchItem.objects.select_for_update().get(pk=item.pk)
        if locked.copy is None:
            head = current_head(item.airframe)
            if head is None:
                raise PrintError(_("no setup is recorded"))
            locked.copy = record_print(user=item.batch.by, revision=head, paper=item.batch.paper)
            locked.save(update_fields=["copy"])
    return Print.objects.select_related(*_TOLD).get(pk=locked.copy.pk)


def documents(batch: Batch) -> Iterator[tuple[str, str, bytes]]:
    """(title, file name, PDF) of every sheet that was made, by the names of the airframes."""
    made = batch.items.filter(state=ItemState.DONE)
    for item in made.select_related("airframe", *(f"copy__{one}" for one in _TOLD)):
        copy = item.copy
        assert copy is not None, "what is made has one"
        revision = copy.revision
        name = f"{item.airframe.slug}-revision-{revision.number}-setup-sheet.pdf"
        with as_printed(copy):
            content = facts_of(revision, copy, batch.base).pdf(batch.paper)
        title = _("{airframe}, revision {number}").format(airframe=item.airframe.name, number=revision.number)
        yield title, name, content


def merged(sheets: Iterable[tuple[str, str, bytes]], *, title: str) -> bytes:
    """One PDF of all sheets, with a bookmark for each; every sheet keeps its tags for reading aloud."""
    return bound(((name, content) for name, _file, content in sheets), title=title)


def zipped(sheets: Iterable[tuple[str, str, bytes]]) -> bytes:
    """A zip of the single documents, each tagged."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for _title, name, content in sheets:
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content)
    return out.getvalue()
