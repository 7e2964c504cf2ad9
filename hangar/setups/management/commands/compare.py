import json
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from hangar.setups.management.common import SetupCommand, read_setup
from mixing import Change, compare


class Command(SetupCommand):
    help = "Say what differs between two setups, and what that does at the model. Needs no database."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("before", type=Path, metavar="BEFORE.json")
        parser.add_argument("after", type=Path, metavar="AFTER.json")
        parser.add_argument("--json", action="store_true", help="as JSON, for other programs")

    def handle(self, *args: Any, **options: Any) -> None:
        changes = compare(read_setup(options["before"]), read_setup(options["after"]))
        if options["json"]:
            self.stdout.write(json.dumps([_data(change) for change in changes], indent=1, ensure_ascii=False))
        else:
            for line in _lines(changes):
                self.stdout.write(line)


def _data(change: Change) -> dict[str, str]:
    return {
        "path": change.path,
        "label": change.label,
        "before": change.before,
        "after": change.after,
        "effect": change.effect,
        "on": change.on,
    }


_HEADINGS = {"transmitter": "On the transmitter", "model": "At the model", "record": "Written down only"}


def _lines(changes: Sequence[Change]) -> Iterator[str]:
    if not changes:
        yield "Nothing differs."
    for place, heading in _HEADINGS.items():
        here = [change for change in changes if change.on == place]
        if here:
            yield f"{heading}:"
        for change in here:
            yield f"  {change.label}: {change.before} → {change.after}"
            if change.effect:
                yield f"      {change.effect}"
