from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.keeping.exporting import export_club
from hangar.keeping.management.common import KeepingCommand


class Command(KeepingCommand):
    help = (
        "Write everything that the club has written to one ZIP file of JSON, CSV and photos, which any program can "
        "read and import_club reads back. Passwords and invitations are not in it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        done = export_club(options["file"])
        self.stdout.write(
            f"{options['file']}: {done.rows} rows of {done.tables} tables, {done.documents} documents, {done.files} "
            "files."
        )
        for name in done.missing:
            self.stdout.write(f"Missing on this machine: {name}")
