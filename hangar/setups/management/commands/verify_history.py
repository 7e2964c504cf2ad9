from argparse import ArgumentParser
from typing import Any

from django.db import connection
from django.db.models import QuerySet

from hangar.fleet.models import Airframe
from hangar.setups import triggers
from hangar.setups.history import broken_links
from hangar.setups.management.common import Refused, SetupCommand, find_airframe
from hangar.setups.management.progress import Progress
from hangar.setups.models import Revision


class Command(SetupCommand):
    help = (
        "Walk the chain of every airframe: seals, parents, numbers and the digests of documents. "
        "Names what is broken first and ends with exit status 1 where something is."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--heads", action="store_true", help="print the newest seal of every chain, to be kept elsewhere"
        )
        parser.add_argument(
            "--expect",
            action="append",
            default=[],
            metavar="SLUG=SEAL",
            help="this seal, kept elsewhere, must be in that chain: finds a chain whose end was cut off",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        chains = Airframe.objects.filter(revisions__isnull=False).distinct().order_by("pk")
        self._walk(chains)
        for expected in options["expect"]:
            self._expect(expected)
        if missing := triggers.missing(connection):
            raise Refused(
                f"Every seal holds, but the database would allow changes: {', '.join(sorted(missing))} missing. "
                "Run `manage.py migrate setups 0001` and `manage.py migrate`."
            )
        if options["heads"]:
            self._print_heads()
        self.stdout.write(f"Every seal holds: {chains.count()} chains, {Revision.objects.count()} revisions.")

    def _walk(self, chains: QuerySet[Airframe]) -> None:
        progress = Progress(Revision.objects.count(), "revisions", self.stderr)
        documents: dict[str, str | None] = {}
        try:
            for airframe in chains:
                links = broken_links(airframe, walked=progress.step, documents=documents)
                if (wrong := next(links, None)) is not None:
                    raise Refused(f"Broken: {wrong}.")
        finally:
            progress.end()

    def _expect(self, expected: str) -> None:
        slug, _, seal = expected.partition("=")
        airframe = find_airframe(slug)
        if not Revision.objects.filter(airframe=airframe, seal=seal.strip().lower()).exists():
            raise Refused(f"Broken: {slug} has no revision with the seal {seal or '(none given)'}.")

    def _print_heads(self) -> None:
        for airframe in Airframe.objects.filter(revisions__isnull=False).distinct().order_by("slug"):
            head = airframe.revisions.order_by("-number").first()
            assert head is not None, "an airframe of this list has revisions"
            self.stdout.write(f"{airframe.slug}={head.seal}")
