from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.keeping.drills import drill
from hangar.keeping.management.common import KeepingCommand


class Command(KeepingCommand):
    help = "Restore a backup to a place of its own, not into the site, and walk its history: a fire drill."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        done = drill(options["file"])
        self.stdout.write(
            f"{done.name} came back: {done.revisions} revisions, every seal holds. The site was not touched."
        )
