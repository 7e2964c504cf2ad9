"""A draft as plain data under a member's hands: it may be wrong or incomplete, and it is kept all the same.

Parts are addressed by their section and their place in it, as the problems of mixing are ("surfaces[2].chord_mm").
"""

import json
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from django.http import Http404, QueryDict
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from mixing import Problem, Setup, SetupError

from . import drafts, joining
from .errors import DraftMoved, HistoryError
from .history import current_head, get_revision_of
from .models import Draft, Revision
from .steps import Trail, told, trail_of

LISTS = ("controls", "channels", "surfaces", "devices", "phases")

Data = dict[str, Any]
# Whoever saves from more pages at once than this is no person.
_TIMES = 4


@dataclass
class Desk:
    """What a member edits: their draft or, where nothing was edited yet, the current revision.

    Other data make another desk: what the data say as a setup is read once.
    """

    airframe: Airframe
    member: Member
    draft: Draft | None
    base: Revision | None
    data: Data
    lost: bool = False
    """Whether it is that of a page of which nobody knows any more what it showed."""
    other: str = ""
    """What another page of the member's changed meanwhile, which was joined with this; in words."""
    mark: str = ""
    """That of what it says, where this is not what is stored."""

    @property
    def seen(self) -> str:
        """What a page carries to say what it was made from."""
        return self.mark or joining.mark_of(self.draft, self.base)

    @property
    def version(self) -> int:
        """The draft's version; 0 where there is none yet."""
        return self.draft.version if self.draft else 0

    @cached_property
    def _read(self) -> tuple[Setup | None, tuple[Problem, ...]]:
        return read(self.data)

    @property
    def setup(self) -> Setup | None:
        """The data as a setup; None where it is none yet."""
        return self._read[0]

    @cached_property
    def trail(self) -> Trail:
        """Which edit can be taken back, and which done again."""
        return trail_of(self.draft) if self.draft is not None else Trail()

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What keeps it from being one."""
        return self._read[1]


def read(data: Data) -> tuple[Setup | None, tuple[Problem, ...]]:
    """A setup, or what is wrong with the data."""
    try:
        return Setup.from_text(json.dumps(data)), ()
    except SetupError as error:
        return None, error.problems


def desk_of(user: Member, airframe: Airframe) -> Desk:
    """The member's desk for an airframe which they may edit; Http404 where there is neither a draft nor a setup."""
    draft = drafts.draft_of(user, airframe)
    if draft is not None:
        return Desk(airframe, user, draft, draft.base, json.loads(draft.text))
    head = current_head(airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    return Desk(airframe, user, None, head, head.setup.data())


def desk_posted(user: Member, airframe: Airframe, post: QueryDict) -> Desk:
    """The desk as the posted page showed it: what is typed there, and in which place, was meant for that.

    Where it was made from a revision, it stands on that one, whatever is current now.
    """
    desk = desk_stored(user, airframe, post)
    if desk.draft is None:
        return desk
    text = joining.shown_text(desk.draft, post)
    if text is None:
        return replace(desk, lost=True)
    return replace(desk, data=json.loads(text), mark=post.get("seen", ""))


def desk_stored(user: Member, airframe: Airframe, post: QueryDict) -> Desk:
    """The desk of the member's draft as it is stored; without one, that of the revision of the posted page."""
    draft = drafts.draft_of(user, airframe)
    base = post.get("base", "")
    if draft is None and base.isascii() and base.isdigit() and len(base) < 10:
        revision = get_revision_of(airframe, int(base))
        return Desk(airframe, user, None, revision, revision.setup.data())
    return desk_of(user, airframe)


def keep(desk: Desk, data: Data) -> Desk:
    """Save `data`, which was made of `desk`, as the member's draft, with what another page saved since.

    DraftMoved where that page changed the same thing.
    """
    data, other = in_order(data), ""
    for _time in range(_TIMES):
        draft = desk.draft
        if draft is None or (not desk.lost and desk.data == json.loads(draft.text)):
            try:
                return replace(store(desk, data, desk.version), other=other)
            except DraftMoved as moved:
                draft = moved.stored
        joint = None if desk.lost else joining.joined(_as_text(desk.data), _as_text(data), draft.text)
        if joint is None:
            raise DraftMoved(stored=draft)
        other = other or told(_as_text(desk.data), draft.text)
        desk = Desk(desk.airframe, desk.member, draft, draft.base, json.loads(draft.text))
        data = in_order(joint)
    raise HistoryError(_("Another page of yours keeps saving this draft. Save again."))


def store(desk: Desk, data: Data, version: int) -> Desk:
    """Save `data` in the place of that version of the member's draft; a draft is begun where there is none."""
    draft = desk.draft
    if draft is None:
        setup = desk.base.setup if desk.base else None
        assert setup is not None, "a desk without a draft stands on a revision"
        draft = drafts.start_draft(user=desk.member, airframe=desk.airframe, setup=setup, base=desk.base)
        version = draft.version
    data = in_order(data)
    if data == json.loads(draft.text):
        # Nothing differs: what can be taken back stays the edit before.
        return Desk(desk.airframe, desk.member, draft, draft.base, data)
    saved = drafts.save_draft(user=desk.member, draft=draft, text=_as_text(data), version=version)
    return Desk(desk.airframe, desk.member, saved, saved.base, json.loads(saved.text))


def _as_text(data: Data) -> str:
    """As short as a recorded document, and as near to it: so steps that differ little are kept in little."""
    return json.dumps(_whole(data), separators=(",", ":"), ensure_ascii=False, sort_keys=True)


def _whole(value: Any) -> Any:
    """With whole numbers written as such: 102, not 102.0."""
    if isinstance(value, dict):
        return {key: _whole(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_whole(each) for each in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def version_of(post: QueryDict) -> int:
    """The version of the draft that the page showed; −1, which none has, where it does not say."""
    shown = post.get("version", "")
    return int(shown) if shown.isascii() and shown.isdigit() and len(shown) < 10 else -1


def in_order(data: Data) -> Data:
    """Channels by number and couplings by place, as a setup keeps them: a problem's index means the same here."""
    channels = sorted(data.get("channels", []), key=lambda channel: _number(channel.get("number")))
    couplings = sorted(
        data.get("couplings", []),
        key=lambda one: (str(one.get("control")), _number(one.get("channel")), one.get("phase") or ""),
    )
    return {**data, "channels": channels, "couplings": couplings}


def _number(value: Any) -> float:
    return value if isinstance(value, int | float) else float("inf")


def place_of(rows: list[Data], part: Data) -> int | None:
    """Where a part stands in its list: that very part, or else what it has become; None where it is gone."""
    known = part.get("key", part.get("number"))
    places = [n for n, one in enumerate(rows) if one == part]
    places += [n for n, one in enumerate(rows) if one.get("key", one.get("number")) == known]
    return places[0] if places else None


def problems_at(problems: tuple[Problem, ...], path: str) -> list[tuple[str, str]]:
    """Those at or below `path`: (the rest of the path, what is wrong as a sentence)."""
    found = []
    for problem in problems:
        rest = problem.path.removeprefix(path)
        if problem.path.startswith(path) and (not rest or rest[0] in ".["):
            found.append((rest.removeprefix("."), problem.sentence))
    return found


def free_key(label: str, taken: set[str], fallback: str) -> str:
    """A key for a new part: its label in small letters and figures, which never changes once it is recorded."""
    plain = "".join(mark if mark.isascii() and mark.isalnum() else "_" for mark in label.lower())
    stem = "_".join(word for word in plain.split("_") if word).lstrip("0123456789_")[:34] or fallback
    return next(key for n in range(1, len(taken) + 2) if (key := stem if n == 1 else f"{stem}_{n}") not in taken)


def blank() -> Data:
    """An empty setup: the sticks that every model has, and nothing else."""
    sticks = (
        ("roll", _("Aileron stick"), _("right")), ("pitch", _("Elevator stick"), _("back")),
        ("yaw", _("Rudder stick"), _("right")),
    )  # fmt: skip
    return {
        "schema": 1,
        "signal": json.loads(_DEFAULT_SIGNAL),
        "balance": {"cg_datum": "", "cg_low_mm": None, "cg_high_mm": None, "loads": []},
        "controls": [
            {"key": key, "label": label, "kind": "stick", "plus": plus, "rest": 0, "positions": None,
             "uses": [{"purpose": key, "full": 100}]}
            for key, label, plus in sticks
        ],
        "channels": [], "surfaces": [], "devices": [], "phases": [], "couplings": [], "remarks": "",
    }  # fmt: skip


_DEFAULT_SIGNAL = (
    '{"centre_us": 1500, "per_100_us": 500, "limit_pct": 125, "step_pct": 1, "curve_points": 5,'
    ' "curve_free_x": false, "channels": 16}'
)
