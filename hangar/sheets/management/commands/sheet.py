from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.setups.history import current_head
from hangar.setups.management.common import Refused, SetupCommand, find_airframe
from hangar.setups.models import Revision


class Command(SetupCommand):
    help = "Write the setup sheet of a revision as PDF: the newest one, where no other is named."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("slug", metavar="SLUG", help="the airframe, as in its address")
        parser.add_argument("--revision", type=int, metavar="N", help="its number; the newest where left out")
        parser.add_argument("--paper", choices=["a4", "letter"], default="a4")
        parser.add_argument("-o", "--output", type=Path, metavar="FILE", help="where to write it; here where left out")

    def handle(self, *args: Any, **options: Any) -> None:
        from hangar.sheets.render import setup_sheet_pdf  # a slow library, of no use to a refusal

        revision = _revision(options["slug"], options["revision"])
        path: Path = options["output"] or Path(f"{options['slug']}-revision-{revision.number}-setup-sheet.pdf")
        content = setup_sheet_pdf(revision, paper=options["paper"])
        try:
            path.write_bytes(content)
        except OSError as error:
            raise Refused(f"{path}: {error.strerror or error}. Give another file after -o.") from error
        self.stdout.write(f"The setup sheet of {options['slug']}, revision {revision.number}, is in {path}.")


def _revision(slug: str, number: int | None) -> Revision:
    airframe = find_airframe(slug)
    newest = current_head(airframe)
    if newest is None:
        raise Refused(f"{slug} has no recorded setup yet: record one first.")
    found = newest if number is None else Revision.objects.filter(airframe=airframe, number=number).first()
    if found is None:
        raise Refused(f"{slug} has no revision {number}; give a number from 1 to {newest.number}.")
    return found
