from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.keeping.backing_up import restore
from hangar.keeping.management.common import KeepingCommand


class Command(KeepingCommand):
    help = "Bring a backup back into an empty site on the same kind of database. Everyone keeps their password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        revisions = restore(options["file"])
        self.stdout.write(f"Restored: {revisions} revisions, every seal holds.")
