"""Everything on a setup sheet that follows from the document alone, each number from `mixing`."""

from dataclasses import dataclass

from hangar.pictures.response import throw_plot
from hangar.pictures.sketch import abreast
from hangar.pictures.svg import text_width
from hangar.sheets.checks import Check, PictureSize, direction_checks, phase_checks, power_checks
from hangar.sheets.conditions import in_phase, rest_phase
from hangar.sheets.labels import with_short_labels
from hangar.sheets.parts import (
    ChannelRow,
    LoadRow,
    StanceTable,
    Stowed,
    balance_range,
    channel_rows,
    failsafe_check,
    load_rows,
    ruler_words,
    stance_table,
    stowed,
)
from hangar.sheets.throws import Group, is_estimated, mirrored, throw_groups
from mixing.document import Control, Setup

# Purposes by how much a picture of the response tells: the lever that moves most surfaces at once comes first.
_TELLING = ("brake", "camber", "roll", "pitch", "yaw", "other")


@dataclass(frozen=True)
class Spacing:
    """How closely a sheet is set.

    `name` is a class of the style sheet; `abreast` is how many pictures may stand side by side; `label` is how many
    characters of a name are printed; `type_px` is the size of a picture's lettering, `picture_height` and
    `plot_height` are the heights of a picture and the plot [px]; `remarks` is how many characters of the remarks are
    printed. Where `mirrored`, a pair that moves as in a mirror takes one row of the table.
    """

    name: str
    abreast: int
    label: int
    type_px: float
    picture_height: float
    plot_height: float
    remarks: int
    mirrored: bool = False


# The last one is for what does not fit a page in any other. 10 CSS pixels are 7.5 pt: nothing is smaller than 7 pt.
SPACINGS = (
    Spacing("generous", 4, 32, 12, 92, 190, 600),
    Spacing("roomy", 4, 30, 11.5, 86, 170, 600),
    Spacing("even", 4, 28, 11, 80, 150, 600),
    Spacing("close", 4, 26, 10.5, 74, 140, 400),
    Spacing("closer", 5, 24, 10, 66, 120, 240),
    Spacing("closest", 5, 22, 9.6, 60, 98, 160, mirrored=True),
    Spacing("flowing", 4, 40, 10.6, 80, 150, 8000),
)
_PAGE_PX = 190 / 25.4 * 96
_PLOT_PX = 318


@dataclass(frozen=True)
class Content:
    """The computed part of a setup sheet."""

    stowed: list[Stowed]
    checks: list[Check]
    columns: int
    phases: list[Check]
    power: list[Check]
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
    estimated: list[str]
    remarks: str

    @property
    def tall(self) -> bool:
        """Whether some check's heading needs two lines, so that all are given two and the pictures stand in a row."""
        return any(text_width(f"{c.do} {c.condition}", 13) > _PAGE_PX / self.columns - 40 for c in self.checks)


def content_of(full: Setup, spacing: Spacing) -> Content:
    """The computed part of the sheet of the setup `full`, for one spacing."""
    setup = with_short_labels(full, spacing.label)
    groups = throw_groups(setup)
    if spacing.mirrored:
        groups = [mirrored(group) for group in groups]
    columns = _columns(len(direction_checks(setup, PictureSize(1, 1, 1))), spacing.abreast)
    told = telling_control(setup)
    return Content(
        stowed=stowed(setup),
        checks=direction_checks(setup, _picture_size(setup, columns, spacing)),
        columns=columns,
        phases=list(phase_checks(setup)),
        power=power_checks(setup),
        failsafe=failsafe_check(setup),
        groups=groups,
        marks=_marks(groups),
        ruler=cut(ruler_words(setup), spacing.remarks),
        channels=channel_rows(full, spacing.label + 4),
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


def _picture_size(setup: Setup, columns: int, spacing: Spacing) -> PictureSize:
    width = _PAGE_PX / columns - 12
    lanes = spacing.type_px if abreast(setup) > 2 else 0.0
    return PictureSize(width, min(width * 0.44, spacing.picture_height) + lanes, spacing.type_px)
