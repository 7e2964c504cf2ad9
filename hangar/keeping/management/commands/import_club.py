from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command

from hangar.keeping.importing import import_club
from hangar.keeping.management.common import KeepingCommand


class Command(KeepingCommand):
    help = "Read the file of export_club into an empty site, on either database. Nobody has a password afterwards."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        done = import_club(options["file"])
        self.stdout.write(f"Imported {done.rows} rows; every seal of {done.chains} chains holds.")
        self.stdout.write(
            "Nobody has a password yet. Give a secretary one: manage.py changepassword LOGIN; the others get a link "
            "from the secretary."
        )
