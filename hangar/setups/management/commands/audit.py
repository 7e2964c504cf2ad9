import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from hangar.pictures.words import stands
from hangar.setups.management.common import Refused, SetupCommand, read_setup
from mixing import Finding, Setup, audit


class Command(SetupCommand):
    help = "Say what to mend or to know before a setup flies. Exit status 1 where a warning stands. Needs no database."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.json")
        parser.add_argument("--receiver-channels", type=int, metavar="N", help="how many channels the receiver has")
        parser.add_argument("--json", action="store_true", help="as JSON, for other programs")

    def handle(self, *args: Any, **options: Any) -> None:
        channels = options["receiver_channels"]
        if channels is not None and channels < 1:
            raise Refused(f"--receiver-channels {channels}: give how many channels the receiver has, 1 or more.")
        setup = read_setup(options["file"])
        findings = audit(setup, receiver_channels=channels)
        if options["json"]:
            data = [{**finding._asdict(), "at": dict(finding.at)} for finding in findings]
            self.stdout.write(json.dumps(data, indent=1, ensure_ascii=False))
        else:
            for line in _lines(setup, findings):
                self.stdout.write(line)
        if any(finding.severity == "warning" for finding in findings):
            sys.exit(1)


def _lines(setup: Setup, findings: Sequence[Finding]) -> Iterator[str]:
    for finding in findings:
        yield f"{finding.severity.upper():<8} {finding.text}"
        places = ", ".join(stands(setup.control(key), position) for key, position in finding.at.items())
        yield f"         {finding.code}, {finding.where}" + (f"; see it at {places}" if places else "")
    if not findings:
        yield "Nothing found. That is no proof: the audit predicts, the model decides."
