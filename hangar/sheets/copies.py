"""The newest sheet of an airframe, for the terminal: recorded as printed for a member, or only to look at."""

from hangar.fleet.models import Airframe
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.setups.history import current_head
from hangar.setups.models import Revision

from .errors import PrintError
from .models import Kind, Print, as_printed
from .operations import record_print
from .render import facts_of


def newest_sheet(slug: str, *, paper: str, by: int | None) -> tuple[str, bytes]:
    """(file name, PDF). Where this member has printed this revision on this paper already, it is that copy again.

    Raises
    ------
    PrintError
        The airframe has no recorded setup.
    """
    airframe = Airframe.objects.get(slug=slug)
    head = current_head(airframe)
    if head is None:
        raise PrintError(f"{slug} has no recorded setup yet")
    copy = None
    if by is not None:
        mine = Print.objects.filter(revision=head, kind=Kind.SETUP_SHEET, paper=paper, by=by, lost=None)
        copy = mine.select_related("by__personal").first() or _recorded(head, Member.objects.get(pk=by), paper)
    with as_printed(copy):
        return f"{slug}-revision-{head.number}-setup-sheet.pdf", facts_of(head, copy).pdf(paper)


def _recorded(head: Revision, member: Member, paper: str) -> Print:
    with speaking(member.language, member.length_unit):
        return record_print(user=member, revision=head, paper=paper)
