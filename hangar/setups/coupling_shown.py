"""What the page of one coupling shows: its stations and what they give, its picture with handles, its ends."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from hangar.pictures.response import throw_plot
from hangar.pictures.stations import Size, Station, span_of, station_handles, station_plot
from hangar.pictures.words import position_words, short
from mixing.document import Control, Coupling, Setup

from .coupling_forms import CouplingForm, moved_by
from .editing import Data, Desk
from .stations import Given, at_ends, at_stations, at_work

WIDE, NARROW = Size(560, 330), Size(340, 300, 14)


def shown(desk: Desk, place: Data, form: CouplingForm) -> dict[str, Any]:
    """Everything that the page tells of the coupling as the desk has it."""
    labels = {one["key"]: one for name in ("controls", "phases") for one in desk.data[name]}
    surfaces = [s for s in desk.data["surfaces"] if s.get("channel") == place["channel"]]
    setup = desk.setup
    told: dict[str, Any] = {
        "place": place, "control": labels[place["control"]], "moves": moved_by(desk.data, place["channel"]),
        "phase": labels.get(place["phase"]), "setup": setup, "surfaces": surfaces,
        "device": None if surfaces else device_on(desk.data, place["channel"]),
        "rows": [(n, fields, None) for n, fields in enumerate(form.station_rows())],
        "want_of": form.data.get("want_of") or next((one["key"] for one in surfaces), ""),
    }  # fmt: skip
    key = (place["control"], place["channel"], place["phase"] or "")
    mine = next((c for c in setup.couplings if c.place == key), None) if setup is not None else None
    if setup is None or mine is None:
        return told
    given = at_stations(setup, mine)
    filled = form.filled() if form.is_bound else list(range(len(given)))
    at_row = dict(zip(filled, given, strict=False)) if not form.errors else {}
    told["rows"] = [(n, fields, at_row.get(n)) for n, fields in enumerate(form.station_rows())]
    rows = filled if not form.errors and len(filled) == len(given) else []
    return {
        **told,
        "coupling": mine,
        "ends": at_ends(setup, mine),
        "drawn": _drawn(setup, mine, given, rows),
        "throws": _throws(setup, mine),
        "control": setup.control(mine.control),
    }


def device_on(data: Data, number: int) -> Data | None:
    """The device that a channel feeds: its travel counts from off, not from the middle."""
    return next((one for one in data.get("devices", []) if one.get("channel") == number), None)


def _drawn(setup: Setup, mine: Coupling, given: Sequence[Given], rows: Sequence[int]) -> list[dict[str, str]]:
    """The response and, where the form and the draft agree, its handles; for a desk and for a phone."""
    control = setup.control(mine.control)
    span = span_of([travel for _, travel in mine.stations], setup.signal.limit_pct)
    held = [
        Station(row, x, travel, _told(control, x, travel, one))
        for row, (x, travel), one in zip(rows, mine.stations, given, strict=False)
    ]
    step = max(1.0, setup.signal.step_pct)
    return [
        {
            "name": name, "picture": station_plot(control, mine, span, size),
            "handles": station_handles(control, held, span, size, step=step, name=f"handle-{name}"),
        }
        for name, size in (("wide", WIDE), ("narrow", NARROW))
    ]  # fmt: skip


def _told(control: Control, position: float, travel: float, given: Given) -> str:
    cells = (f"{label} {cell.figure} {cell.word}".rstrip() for label, cell in given.cells)
    return _("{control} {where}: travel {travel} %; {what}").format(
        control=control.label, where=position_words(control, position), travel=short(travel), what=", ".join(cells)
    )


def _throws(setup: Setup, mine: Coupling) -> dict[str, str] | None:
    """The throws of the response alone, for a desk and for a phone."""
    if not setup.surfaces_on(mine.channel):
        return None
    alone = setup.changed(couplings=(mine,))
    phase = None if setup.phases and setup.phases[0].control == mine.control else at_work(setup, mine)
    return {
        "wide": throw_plot(alone, mine.control, phase=phase, width=520, height=260),
        "narrow": throw_plot(alone, mine.control, phase=phase, width=340, height=250),
    }
