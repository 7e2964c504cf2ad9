"""Everything on a setup sheet that follows from the document alone, each number from `mixing`."""

from dataclasses import dataclass

from hangar.pictures.response import throw_plot
from hangar.pictures.svg import text_width
from hangar.sheets.checks import Check, PictureSize, direction_checks, power_checks
from hangar.sheets.conditions import in_phase, rest_phase
from hangar.sheets.parts import (
    ChannelRow,
    LoadRow,
    StanceTable,
    Stowed,
    balance_range,
    channel_rows,
    failsafe_check,
    load_rows,
    stance_table,
    stowed,
)
from hangar.sheets.throws import Group, is_estimated, throw_groups
from mixing.document import Control, Setup

# Purposes by how much a picture of the response tells: the lever that moves most surfaces at once comes first.
_TELLING = ("brake", "camber", "roll", "pitch", "yaw", "other")


@dataclass(frozen=True)
class Spacing:
    """How closely a sheet is set.

    `name` is a class of the style sheet; `abreast` is how many pictures may stand side by side; `type_px` is the size
    of their lettering and `plot_height` the height of the plot [px]; `remarks` is how many characters of the remarks
    are printed.
    """

    name: str
    abreast: int
    type_px: float
    plot_height: float
    remarks: int


# The last one is for what does not fit a page in any other. 10 CSS pixels are 7.5 pt: nothing is smaller than 7 pt.
SPACINGS = (
    Spacing("roomy", 5, 11, 170, 600),
    Spacing("even", 5, 10.6, 150, 600),
    Spacing("close", 5, 10, 140, 400),
    Spacing("closer", 6, 9.6, 120, 240),
    Spacing("closest", 6, 9.4, 104, 160),
    Spacing("flowing", 5, 10.6, 170, 8000),
)
_PAGE_PX = 190 / 25.4 * 96
_PLOT_PX = 318


@dataclass(frozen=True)
class Content:
    """The computed part of a setup sheet."""

    stowed: list[Stowed]
    checks: list[Check]
    columns: int
    power: list[Check]
    failsafe: str
    groups: list[Group]
    marks: frozenset[str]
    channels: list[ChannelRow]
    stances: StanceTable | None
    loads: list[LoadRow]
    balance: str
    plot: str
    plot_of: str
    estimated: list[str]
    remarks: str

    @property
    def tall(self) -> bool:
        """Whether some check's heading needs two lines, so that all are given two and the pictures stand in a row."""
        return any(text_width(f"{c.do} {c.condition}", 13) > _PAGE_PX / self.columns - 40 for c in self.checks)


def content_of(setup: Setup, spacing: Spacing) -> Content:
    """The computed part of the sheet of `setup`, for one spacing."""
    groups = throw_groups(setup)
    columns = _columns(len(direction_checks(setup, PictureSize(1, 1, 1))), spacing.abreast)
    told = telling_control(setup)
    return Content(
        stowed=stowed(setup),
        checks=direction_checks(setup, _picture_size(columns, spacing.type_px)),
        columns=columns,
        power=power_checks(setup),
        failsafe=failsafe_check(setup),
        groups=groups,
        marks=_marks(groups),
        channels=channel_rows(setup),
        stances=stance_table(setup),
        loads=load_rows(setup),
        balance=balance_range(setup),
        plot=_plot(setup, told, spacing) if told else "",
        plot_of=f"{told.label} {in_phase(rest_phase(setup))}".strip() if told else "",
        estimated=[surface.label for surface in setup.surfaces if is_estimated(surface)],
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
        width=_PLOT_PX, height=spacing.plot_height, type_px=min(spacing.type_px, 10.5),
    )  # fmt: skip


def _columns(pictures: int, abreast: int) -> int:
    """How many pictures stand side by side: all of them where they may, else rows of about the same length."""
    rows = -(-pictures // abreast)
    return max(3, -(-pictures // max(rows, 1)))


def _picture_size(columns: int, type_px: float) -> PictureSize:
    width = _PAGE_PX / columns - 12
    return PictureSize(width, min(max(width * 0.44, 62), 90), type_px)
