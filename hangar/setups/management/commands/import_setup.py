from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from hangar.members.models import Member
from hangar.setups.history import current_head
from hangar.setups.management.common import Refused, SetupCommand, find_airframe, read_setup
from hangar.setups.operations import record


class Command(SetupCommand):
    help = "Record the setup in a JSON file as the next revision of an airframe."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.json")
        parser.add_argument("--airframe", required=True, metavar="SLUG")
        parser.add_argument("--reason", required=True, metavar="TEXT", help="what changes and why; it is permanent")
        parser.add_argument(
            "--as", dest="login", metavar="LOGIN", help="who records it; the airframe's owner by default"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        setup = read_setup(options["file"])
        airframe = find_airframe(options["airframe"])
        recorded = record(
            user=self._member(options["login"]) or airframe.owner,
            airframe=airframe,
            setup=setup,
            base=current_head(airframe),
            reason=options["reason"],
            origin="import",
        )
        done = "Recorded" if recorded.new else "Nothing to record: this is already"
        self.stdout.write(
            f"{done} {airframe.slug} revision {recorded.revision.number}, {recorded.revision.document_id}."
        )

    def _member(self, login: str | None) -> Member | None:
        if login is None:
            return None
        member = Member.objects.filter(login=Member.normalize_username(login)).first()
        if member is None:
            raise Refused(f"There is no member with the login {login!r}.")
        return member
