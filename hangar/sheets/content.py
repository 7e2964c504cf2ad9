"""Everything on a setup sheet that follows from the document alone, each number from `mixing`."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from hangar.pictures.response import throw_plot
from hangar.pictures.sketch import abreast
from hangar.pictures.svg import text_width
from hangar.sheets.checks import Check, PictureSize, Step, direction_steps, phase_checks
from hangar.sheets.conditions import in_phase, rest_phase
from hangar.sheets.enter import DialIn, ToEnter, dial_in_of
from hangar.sheets.labels import with_short_labels
from hangar.sheets.lost import failsafe_check
from hangar.sheets.parts import (
    ChannelRow,
    LoadRow,
    StanceTable,
    Stowed,
    balance_range,
    channel_rows,
    load_rows,
    ruler_words,
    stance_table,
    stowed,
)
from hangar.sheets.spacings import NOTE_LETTERS, PAGE_PX, PLOT_PX, PLOT_TYPE_PX, Spacing
from hangar.sheets.throws import Group, mirrored, throw_groups
from mixing import Conventions
from mixing.document import Control, Setup

# Purposes by how much a picture of the response tells: the lever that moves most surfaces at once comes first.
_TELLING = ("brake", "camber", "roll", "pitch", "yaw", "other")

# A line of remarks in the closest setting: its height [px], and its letters in a column of two.
_LINE_PX, _COLUMN = 12.0, 78


@dataclass(frozen=True)
class Content:
    """The computed part of a setup sheet."""

    stowed: list[Stowed]
    handed: list[str]
    checks: list[Check]
    columns: int
    plain: list[Check]
    phases: list[Check]
    failsafe: str
    groups: list[Group]
    marks: frozenset[str]
    ruler: str
    channels: list[ChannelRow]
    dial_in: DialIn
    stances: StanceTable | None
    loads: list[LoadRow]
    balance: str
    plots: list[tuple[str, str]]
    remarks: str

    @property
    def lines(self) -> float:
        """About how many lines of the throw table the sheet takes, besides what every sheet has."""
        table = sum(len(group.rows) + 1.3 + 0.8 * bool(group.notes) for group in self.groups)
        lower = (len(self.stances.rows) + 1.5 if self.stances else 0) + len(self.loads) + len(self.remarks) / 130
        entered = sum(-(-len(" ".join(_told(entry) for entry in entries)) // 80) or 1 for _, entries in self.map)
        seen = max((sum(len(seen.label) + 6 for seen in check.seen) / 34 for check in self.checks), default=0)
        ruler = len(self.ruler) / 150
        return table + ruler + 0.8 * (entered + len(self.phases) + len(self.plain) + seen) + 0.9 * max(lower, 7)

    @property
    def mirrored_rows(self) -> int:
        """How many rows fewer the throw table has where a pair that moves as in a mirror takes one."""
        return sum(len(group.rows) - len(mirrored(group).rows) for group in self.groups)

    @property
    def map(self) -> list[tuple[ChannelRow, tuple[ToEnter, ...]]]:
        """Every channel with what to enter on it."""
        return [(channel, self.dial_in.rows.get(channel.number, ())) for channel in self.channels]

    @property
    def long_failsafe(self) -> bool:
        """Whether some failsafe says a throw, and needs a wider column."""
        return any(len(channel.failsafe) > 14 for channel in self.channels)

    @property
    def tall(self) -> bool:
        """Whether some check's heading needs two lines, so that all are given two and the pictures stand in a row."""
        return any(text_width(f"{c.do} {c.condition}", 15) > PAGE_PX / self.columns - 40 for c in self.checks)


@dataclass(frozen=True)
class Figures:
    """What of it is the same however closely the sheet is set, for names of one length."""

    setup: Setup
    told: list[Group]
    steps: list[Step]
    phases: list[Check]
    channels: list[ChannelRow]
    dial_in: DialIn
    stowed: list[Stowed]
    failsafe: str
    ruler: str
    stances: StanceTable | None
    loads: list[LoadRow]
    balance: str


class Contents:
    """The computed part of the sheet of one setup for one transmitter, for one spacing after the other.

    A sheet is tried in several: what they share is computed once.
    """

    def __init__(self, full: Setup, conventions: Conventions | None = None) -> None:
        self._full, self._conventions = full, conventions or Conventions()
        labels = [surface.label for surface in full.surfaces] + [device.label for device in full.devices]
        labels += [phase.label for phase in full.phases] + [channel.label for channel in full.channels]
        labels += [control.label for control in full.controls]
        self._longest = max(map(len, labels), default=0)
        self._known: dict[int, Figures] = {}

    def at(self, spacing: Spacing, *, drawn: bool = True, letters: int = 0) -> Content:
        """The content for one spacing; without its pictures where they are not `drawn`.

        `letters` is how many letters of notes there is room for besides those that the spacing always has: first for
        where the ruler goes, then for the remarks.
        """
        known = self._figures(min(spacing.label, self._longest))
        setup = known.setup
        groups = [mirrored(group) for group in known.told] if spacing.mirrored else known.told
        columns = _columns(sum(step.frame is not None for step in known.steps), spacing.abreast)
        size = _picture_size(setup, columns, spacing)
        ruler = cut(known.ruler, spacing.remarks * 3 // 2 + letters, NOTE_LETTERS)
        letters = max(0, min(letters, letters + spacing.remarks * 3 // 2 - len(ruler)))
        letters, line = (letters, NOTE_LETTERS) if spacing.gives else (_beside_plots(known, spacing), 1)
        return Content(
            stowed=known.stowed,
            handed=[control.label for control in setup.controls if control.uses],
            checks=[step.drawn(setup, size) if drawn else step.check for step in known.steps if step.frame is not None],
            plain=[step.check for step in known.steps if step.frame is None],
            columns=columns,
            phases=known.phases,
            failsafe=known.failsafe,
            groups=groups,
            marks=_marks(groups),
            ruler=ruler,
            channels=known.channels,
            dial_in=known.dial_in,
            stances=known.stances,
            loads=known.loads,
            balance=known.balance,
            plots=_plots(known, spacing) if drawn else [],
            remarks=cut(setup.remarks, spacing.remarks + letters, line),
        )

    def _figures(self, length: int) -> Figures:
        """For names of at most `length` characters."""
        if length not in self._known:
            setup = with_short_labels(self._full, length)
            self._known[length] = Figures(
                setup, throw_groups(setup), direction_steps(setup), list(phase_checks(setup)),
                channel_rows(self._full, length), dial_in_of(self._full, self._conventions, length),
                stowed(setup), failsafe_check(setup), ruler_words(setup), stance_table(setup), load_rows(setup),
                balance_range(setup),
            )  # fmt: skip
        return self._known[length]


def content_of(full: Setup, spacing: Spacing, conventions: Conventions | None = None) -> Content:
    """The computed part of the sheet of the setup `full`, for one spacing and one transmitter's conventions."""
    return Contents(full, conventions).at(spacing)


def cut(text: str, length: int, line: int = 1) -> str:
    """`text` on one line, shortened at a word where it is longer, and saying so; whole where that takes no more room.

    `line` is how many letters a line of the sheet holds at least.
    """
    flat = " ".join(text.split())
    kept = flat[:length].rsplit(" ", 1)[0] or flat[:length]
    told = _("{text} … (the rest stands with the revision on the site)").format(text=kept)
    return flat if len(flat) <= max(length, -(-len(told) // line) * line) else told


def _told(entry: ToEnter) -> str:
    return f"{entry.what} {entry.figures} {' '.join(entry.more)} ({entry.gives}{entry.off});"


def _marks(groups: list[Group]) -> frozenset[str]:
    cells = [cell for group in groups for row in group.rows for cell in row.cells if cell is not None]
    return frozenset(mark for cell in cells for mark in cell.marks + ("≈" if cell.figure.startswith("≈") else ""))


def telling_control(setup: Setup) -> Control | None:
    """The control whose response is worth a picture: the brake where there is one."""
    for purpose in _TELLING:
        for control in setup.controls:
            if control.use(purpose) is not None and control.positions is None:
                return control
    return None


def plotted_controls(setup: Setup) -> list[Control]:
    """The brake, or what tells most instead of it, and every control with a response that bends on the way."""
    told = telling_control(setup)
    bent = {
        coupling.control
        for coupling in setup.couplings
        if setup.surfaces_on(coupling.channel) and any(x not in (-100, 0, 100) for x, _ in coupling.stations)
    }
    others = [c for c in setup.controls if c.key in bent and c.positions is None and c is not told]
    return ([told] if told is not None else []) + others


def _plots(known: Figures, spacing: Spacing) -> list[tuple[str, str]]:
    """Name and picture of every plot; narrower where they stand beside a table of stances."""
    phase = rest_phase(known.setup)
    width = spacing.plot_px if known.stances is not None else max(PLOT_PX, spacing.plot_px)
    return [
        (
            f"{control.label} {in_phase(phase)}".strip(),
            throw_plot(
                known.setup, control.key, phase=phase.key if phase else None, width=width,
                height=_plot_height(control, spacing, known.told), type_px=PLOT_TYPE_PX,
            ),
        )
        for control in plotted_controls(known.setup)
    ]  # fmt: skip


def _plot_height(control: Control, spacing: Spacing, groups: list[Group]) -> float:
    """High enough for two lines of words beside every curve."""
    rows = next((group.rows for group in groups if group.label == control.label), ())
    curves = len({(row.cells[0], row.cells[-1]) for row in rows if row.measured})
    return max(spacing.plot_height, (2.3 * curves + 1.8) * PLOT_TYPE_PX)


def _beside_plots(known: Figures, spacing: Spacing) -> int:
    """For how many letters of remarks there is room below the balance where both stand beside the plots."""
    if known.stances is not None:
        return 0
    heights = [_plot_height(one, spacing, known.told) for one in plotted_controls(known.setup)]
    lines = sum(heights) / _LINE_PX + len(heights) - len(known.loads) - 4
    return int(max(lines, 0)) * _COLUMN


def _columns(pictures: int, abreast: int) -> int:
    """How many pictures stand side by side: all of them where they may, else rows of about the same length."""
    rows = -(-pictures // abreast)
    return max(3, -(-pictures // max(rows, 1)))


def _picture_size(setup: Setup, columns: int, spacing: Spacing) -> PictureSize:
    width = PAGE_PX / columns - 12
    lanes = spacing.type_px if abreast(setup) > 2 else 0.0
    return PictureSize(width, min(width * 0.44, spacing.picture_height) + lanes, spacing.type_px)
