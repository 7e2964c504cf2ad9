"""Everything on a setup sheet that follows from the document alone, each number from `mixing`."""

from dataclasses import dataclass

from hangar.pictures.response import throw_plot
from hangar.pictures.sketch import abreast
from hangar.pictures.svg import text_width
from hangar.sheets.checks import Check, PictureSize, direction_checks, phase_checks
from hangar.sheets.conditions import in_phase, rest_phase
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
from hangar.sheets.spacings import PAGE_PX, PLOT_PX, PLOT_TYPE_PX, Spacing
from hangar.sheets.throws import Group, mirrored, throw_groups
from mixing.document import Control, Setup

# Purposes by how much a picture of the response tells: the lever that moves most surfaces at once comes first.
_TELLING = ("brake", "camber", "roll", "pitch", "yaw", "other")


@dataclass(frozen=True)
class Content:
    """The computed part of a setup sheet."""

    stowed: list[Stowed]
    checks: list[Check]
    columns: int
    plain: list[Check]
    phases: list[Check]
    failsafe: str
    groups: list[Group]
    marks: frozenset[str]
    ruler: str
    channels: list[ChannelRow]
    stances: StanceTable | None
    loads: list[LoadRow]
    balance: str
    plot: str
    plot_of: str
    remarks: str

    @property
    def lines(self) -> float:
        """About how many lines of the throw table the sheet takes, besides what every sheet has."""
        table = sum(len(group.rows) + 1.3 + 0.8 * bool(group.notes) for group in self.groups)
        left = 0.85 * len(self.channels) + len(self.loads) + len(self.remarks) / 110
        right = len(self.stances.rows) + 1.5 if self.stances else 0
        seen = max((sum(len(seen.label) + 6 for seen in check.seen) / 34 for check in self.checks), default=0)
        ruler = len(self.ruler) / 150
        return table + ruler + 0.9 * max(left - 4, right) + 0.8 * (len(self.phases) + len(self.plain) + seen)

    @property
    def long_failsafe(self) -> bool:
        """Whether some failsafe says a throw, and needs a wider column."""
        return any(len(channel.failsafe) > 14 for channel in self.channels)

    @property
    def tall(self) -> bool:
        """Whether some check's heading needs two lines, so that all are given two and the pictures stand in a row."""
        return any(text_width(f"{c.do} {c.condition}", 13) > PAGE_PX / self.columns - 40 for c in self.checks)


def content_of(full: Setup, spacing: Spacing) -> Content:
    """The computed part of the sheet of the setup `full`, for one spacing."""
    setup = with_short_labels(full, spacing.label)
    groups = throw_groups(setup)
    if spacing.mirrored:
        groups = [mirrored(group) for group in groups]
    pictured = sum(bool(check.picture) for check in direction_checks(setup, PictureSize(1, 1, 1)))
    columns = _columns(pictured, spacing.abreast)
    checks = direction_checks(setup, _picture_size(setup, columns, spacing))
    told = telling_control(setup)
    return Content(
        stowed=stowed(setup),
        checks=[check for check in checks if check.picture],
        plain=[check for check in checks if not check.picture],
        columns=columns,
        phases=list(phase_checks(setup)),
        failsafe=failsafe_check(setup),
        groups=groups,
        marks=_marks(groups),
        ruler=cut(ruler_words(setup), spacing.remarks * 3 // 2),
        channels=channel_rows(full, spacing.label),
        stances=stance_table(setup),
        loads=load_rows(setup),
        balance=balance_range(setup),
        plot=_plot(setup, told, spacing) if told else "",
        plot_of=f"{told.label} {in_phase(rest_phase(setup))}".strip() if told else "",
        remarks=cut(setup.remarks, spacing.remarks),
    )


def cut(text: str, length: int) -> str:
    """`text` on one line, shortened at a word where it is longer, and saying so."""
    flat = " ".join(text.split())
    if len(flat) <= length:
        return flat
    kept = flat[:length].rsplit(" ", 1)[0] or flat[:length]
    return f"{kept} … (the rest stands with the revision on the site)"


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


def _plot(setup: Setup, control: Control, spacing: Spacing) -> str:
    phase = rest_phase(setup)
    return throw_plot(
        setup, control.key, phase=phase.key if phase else None,
        width=PLOT_PX, height=spacing.plot_height, type_px=PLOT_TYPE_PX,
    )  # fmt: skip


def _columns(pictures: int, abreast: int) -> int:
    """How many pictures stand side by side: all of them where they may, else rows of about the same length."""
    rows = -(-pictures // abreast)
    return max(3, -(-pictures // max(rows, 1)))


def _picture_size(setup: Setup, columns: int, spacing: Spacing) -> PictureSize:
    width = PAGE_PX / columns - 12
    lanes = spacing.type_px if abreast(setup) > 2 else 0.0
    return PictureSize(width, min(width * 0.44, spacing.picture_height) + lanes, spacing.type_px)
