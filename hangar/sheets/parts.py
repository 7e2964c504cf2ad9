"""The other parts of a sheet: channels, stances, balance, and how the transmitter stands before switching on."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import arrow, listed, plain, position_words, short, together
from hangar.sheets.conditions import labels_on, rest_phase
from hangar.sheets.labels import short_label
from hangar.sheets.lost import failsafe_words
from hangar.sheets.throws import MOVES_MM, Cell
from mixing.document import Channel, Control, Setup, Surface
from mixing.language import now
from mixing.rig import Frame, Rig
from mixing.wording import length, length_figure, length_fixed


@dataclass(frozen=True)
class ChannelRow:
    """One line of the channel map, in words."""

    number: int
    label: str
    drives: str
    y_lead: bool
    reversed: bool
    centre: str
    limits: str
    failsafe: str
    failsafe_unset: bool


@dataclass(frozen=True)
class StanceTable:
    """Where the surfaces stand in each phase: one row a surface that moves, one column a phase."""

    control: str
    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]

    @property
    def control_inside(self) -> str:
        """The control inside a sentence."""
        return self.control.lower() if now().lowers else self.control


@dataclass(frozen=True)
class LoadRow:
    label: str
    mass: str
    balance: str
    outside: bool


@dataclass(frozen=True)
class Stowed:
    """How a control stands before switching on."""

    control: str
    position: str
    note: str = ""


def channel_rows(setup: Setup, length: int) -> list[ChannelRow]:
    """The channel map, every channel of the document, with names of up to `length` characters."""
    return [_channel_row(setup, channel, length) for channel in setup.channels]


def _channel_row(setup: Setup, channel: Channel, length: int) -> ChannelRow:
    labels = labels_on(setup, channel.number)
    drives = " + ".join(short_label(label, length) for label in labels) or _("nothing")
    return ChannelRow(
        number=channel.number,
        label=short_label(channel.label, length),
        drives="" if labels == [channel.label] else drives,
        y_lead=len(labels) > 1,
        reversed=channel.reversed,
        centre=short(channel.centre_us),
        limits=f"{short(channel.low_us)} … {short(channel.high_us)}",
        failsafe=failsafe_words(setup, channel),
        failsafe_unset=channel.failsafe is None and bool(labels),
    )


def stance_table(setup: Setup) -> StanceTable | None:
    """Throws with every control at rest, a column a phase; None where there are no phases."""
    if not setup.phases:
        return None
    frames = [Rig(setup).at({}, phase=phase.key) for phase in setup.phases]
    rows: dict[tuple[str, tuple[Cell, ...]], list[str]] = {}
    for surface in setup.surfaces:
        if max(abs(float(frame.throw_mm[surface.key])) for frame in frames) > MOVES_MM:
            cells = tuple(_stance_cell(surface, frame) for frame in frames)
            rows.setdefault((surface.pair or surface.key, cells), []).append(surface.label)
    control = setup.control(setup.phases[0].control)
    heads = tuple((phase.label, position_words(control, phase.position)) for phase in setup.phases)
    return StanceTable(control.label, heads, tuple((together(labels), cells) for (_, cells), labels in rows.items()))


def _stance_cell(surface: Surface, frame: Frame) -> Cell:
    throw = float(frame.throw_mm[surface.key])
    figure = length_fixed(abs(throw))
    if figure == "0":
        return Cell(figure)
    figure = "≈" + figure if is_estimated(surface) else figure
    degrees = f"{plain(abs(float(frame.deflection_deg[surface.key])))}°"
    return Cell(figure, arrow(throw, surface.role), degrees)


def ruler_words(setup: Setup) -> str:
    """Where the ruler goes and what neutral is flush with, surfaces that say the same taken together."""
    told: dict[str, list[str]] = {}
    for surface in setup.surfaces:
        ruler = _("ruler at {place}").format(place=surface.measure_at) if surface.measure_at else ""
        neutral = _("neutral is {flush}").format(flush=surface.neutral_ref) if surface.neutral_ref else ""
        if ruler or neutral:
            told.setdefault(", ".join(filter(None, (ruler, neutral))), []).append(surface.label)
    if len(told) == 1 and len(next(iter(told.values()))) == len(setup.surfaces) > 1:
        return _("Every surface: {words}.").format(words=next(iter(told)))
    return " ".join(f"{listed(labels)}: {words}." for words, labels in told.items())


def load_rows(setup: Setup) -> list[LoadRow]:
    """Every load with its mass and balance, and whether that is outside the allowed range."""
    low, high = setup.balance.cg_low_mm, setup.balance.cg_high_mm
    return [
        LoadRow(load.label, f"{short(load.mass_g)} g", length(load.cg_mm), not low <= load.cg_mm <= high)
        for load in setup.balance.loads
    ]


def balance_range(setup: Setup) -> str:
    """The allowed range, in words."""
    balance = setup.balance
    low, high = length_figure(balance.cg_low_mm), length(balance.cg_high_mm)
    return _("{low} to {high} behind {datum}").format(low=low, high=high, datum=balance.cg_datum)


def stowed(setup: Setup) -> list[Stowed]:
    """Where levers, knobs and switches stand before switching on; sticks stand where they are let go."""
    return [
        Stowed(control.label, position_words(control, control.rest), _stowed_note(setup, control))
        for control in setup.controls
        if control.kind != "stick"
    ]


def _stowed_note(setup: Setup, control: Control) -> str:
    phase = rest_phase(setup)
    if phase is not None and phase.control == control.key:
        return phase.label
    if control.use("power") is None:
        return ""
    frame = Rig(setup).at({})
    driven = {c.channel for c in setup.couplings if c.control == control.key}
    levels = {d.label: float(frame.level_pct[d.key]) for d in setup.devices if d.channel in driven}
    return ", ".join(
        f"{label} {_('off') if short(level) == '0' else f'{short(level)} %'}" for label, level in levels.items()
    )
