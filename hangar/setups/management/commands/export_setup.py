from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.setups.management.common import Refused, SetupCommand, find_airframe
from hangar.setups.models import Revision


class Command(SetupCommand):
    help = "Write a recorded setup as canonical JSON, byte for byte as it is stored."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("airframe", metavar="SLUG")
        parser.add_argument("--revision", type=int, metavar="N", help="the newest by default")
        parser.add_argument("-o", "--output", type=Path, metavar="FILE", help="instead of the standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        airframe = find_airframe(options["airframe"])
        revisions = Revision.objects.filter(airframe=airframe).select_related("document").order_by("-number")
        if options["revision"] is not None:
            revisions = revisions.filter(number=options["revision"])
        revision = revisions.first()
        if revision is None:
            which = f"revision {options['revision']}" if options["revision"] is not None else "recorded setup"
            raise Refused(f"{airframe.slug} has no {which}.")
        if options["output"] is None:
            self.stdout.write(revision.document.text, ending="")
            return
        try:
            options["output"].write_bytes(revision.document.text.encode())
        except OSError as error:
            raise Refused(f"{options['output']}: {error.strerror or error}.") from error
