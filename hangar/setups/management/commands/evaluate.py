import json
import math
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hangar.pictures.words import plain, throw_words
from hangar.setups.management.common import Refused, SetupCommand, read_setup
from mixing import Frame, Rig, Setup


class Command(SetupCommand):
    help = "Say what every channel, surface and device does at one place of the controls. Needs no database."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.json")
        parser.add_argument(
            "--at",
            action="append",
            default=[],
            metavar="CONTROL=PERCENT",
            help="where a control stands, as roll=50; once a control. One left out is at rest",
        )
        parser.add_argument("--phase", metavar="KEY", help="the flight phase; sets the phase switch")
        parser.add_argument("--surface", action="append", default=[], metavar="KEY", help="these surfaces only")
        parser.add_argument("--json", action="store_true", help="as JSON, for other programs")

    def handle(self, *args: Any, **options: Any) -> None:
        setup = read_setup(options["file"])
        surfaces = _chosen(setup, options["surface"])
        frame = Rig(setup).at(_positions(options["at"]), phase=options["phase"])
        if options["json"]:
            self.stdout.write(json.dumps(_data(frame, surfaces), indent=1))
        else:
            for line in _table(setup, frame, surfaces):
                self.stdout.write(line)
        for key in surfaces:
            if frame.blocked[key]:
                self.stderr.write(
                    f"{key}: its linkage cannot follow this far; the last place that it reaches is shown."
                )


def _positions(given: list[str]) -> dict[str, float]:
    positions: dict[str, float] = {}
    for one in given:
        key, equals, number = one.partition("=")
        try:
            position = float(number.replace("−", "-").replace(",", "."))
        except ValueError:
            position = math.nan
        if not equals or not math.isfinite(position):
            raise Refused(f"--at {one}: give a control and its position in per cent, such as roll=50.")
        if key in positions:
            raise Refused(f"--at {one}: {key} was given twice; give it once.")
        positions[key] = position
    return positions


def _chosen(setup: Setup, keys: list[str]) -> list[str]:
    known = [surface.key for surface in setup.surfaces]
    for key in keys:
        if key not in known:
            raise Refused(f"There is no surface {key!r}; give one of {', '.join(known) or 'none: it has no surfaces'}.")
    return [key for key in known if not keys or key in keys]


def _data(frame: Frame, surfaces: list[str]) -> dict[str, Any]:
    # + 0.0 turns −0.0, which no one asked for, into 0.0.
    return {
        "channels": {
            str(number): {
                "travel_pct": float(frame.travel_pct[number]) + 0.0,
                "pulse_us": float(frame.pulse_us[number]) + 0.0,
                "held": bool(frame.held[number]),
            }
            for number in frame.travel_pct
        },
        "surfaces": {
            key: {
                "deflection_deg": float(frame.deflection_deg[key]) + 0.0,
                "throw_mm": float(frame.throw_mm[key]) + 0.0,
            }
            for key in surfaces
        },
        "devices": {key: {"level_pct": float(level) + 0.0} for key, level in frame.level_pct.items()},
    }


def _table(setup: Setup, frame: Frame, surfaces: list[str]) -> Iterator[str]:
    yield f"{'Channel':<30}{'travel':>10}{'pulse':>11}"
    for channel in setup.channels:
        number = channel.number
        travel = f"{plain(float(frame.travel_pct[number]))} %"
        pulse = f"{plain(float(frame.pulse_us[number]))} µs"
        held = "  held by its limits" if frame.held[number] else ""
        yield f"{number:>3} {channel.label:<26}{travel:>10}{pulse:>11}{held}"
    if surfaces:
        yield f"\n{'Surface':<30}{'throw':>15}{'deflection':>12}"
    for key in surfaces:
        surface = setup.surface(key)
        throw = throw_words(float(frame.throw_mm[key]), surface.role)
        estimated = "  estimated: its linkage is not measured" if surface.linkage.kind == "unmeasured" else ""
        yield f"    {surface.label:<26}{throw:>15}{plain(float(frame.deflection_deg[key])) + '°':>12}{estimated}"
    if setup.devices:
        yield f"\n{'Device':<30}{'level':>10}"
    for device in setup.devices:
        yield f"    {device.label:<26}{plain(float(frame.level_pct[device.key])) + ' %':>10}"
