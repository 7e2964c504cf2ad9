import multiprocessing
from argparse import ArgumentParser
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from pathlib import Path
from typing import Any

from django.db import connections

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.management.common import Refused, SetupCommand
from hangar.sheets.printer import begin, one_sheet

_WIDTH = 30


class Command(SetupCommand):
    help = (
        "Write the newest setup sheets of many airframes as PDF files into a folder. Run again, it goes on where it "
        "was stopped. With --by they count as printed, each with a number and a QR code."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("slugs", nargs="*", metavar="SLUG", help="airframes, as in their addresses")
        group = parser.add_mutually_exclusive_group()
        group.add_argument("--all", action="store_true", help="every airframe that has a setup")
        group.add_argument("--outdated", action="store_true", help="those whose sheet in the box is out of date")
        group.add_argument("--owner", metavar="LOGIN", help="a member's airframes")
        parser.add_argument("-o", "--output", type=Path, required=True, metavar="FOLDER", help="where to write them")
        parser.add_argument("--paper", choices=["a4", "letter"], default="a4")
        parser.add_argument("--by", metavar="LOGIN", help="the member for whom they are printed, and recorded as such")
        parser.add_argument("--merged", type=Path, metavar="FILE", help="all in one PDF with bookmarks as well")
        parser.add_argument("--processes", type=int, default=1, metavar="N", help="how many make sheets at once")

    def handle(self, *args: Any, **options: Any) -> None:
        from hangar.sheets.batches import merged  # slow libraries, of no use to a refusal

        slugs = [airframe.slug for airframe in _chosen(options)]
        if not slugs:
            raise Refused("There is no sheet to print here.")
        by, folder, paper = _member(options["by"]), options["output"], options["paper"]
        _make_folder(folder)
        made: dict[str, Path] = {}
        failed: dict[str, str] = {}
        for slug, path, error in _all(slugs, folder, paper, by, options["processes"]):
            if error:
                failed[slug] = error
            else:
                made[slug] = folder / path
            self._bar(len(made) + len(failed), len(slugs), slug)
        if options["merged"] and made:
            sheets = [(slug, made[slug].name, made[slug].read_bytes()) for slug in slugs if slug in made]
            options["merged"].write_bytes(merged(sheets, title="Setup sheets"))
        self.stdout.write(f"{len(made)} of {len(slugs)} sheets are in {folder}.")
        if failed:
            raise Refused("Could not be made:\n" + "\n".join(f"  {slug}: {why}" for slug, why in failed.items()))

    def _bar(self, done: int, all_: int, slug: str) -> None:
        """A bar where somebody looks at it; a line each where it goes to a file."""
        if not self.stderr.isatty():
            self.stderr.write(f"{done} of {all_}: {slug}")
            return
        full = _WIDTH * done // all_
        self.stderr.write(f"\r[{'#' * full}{'.' * (_WIDTH - full)}] {done} of {all_} {slug:<40.40}", ending="")
        if done == all_:
            self.stderr.write("")


def _chosen(options: dict[str, Any]) -> list[Airframe]:
    from hangar.sheets.batches import out_of_date, with_setup

    every = Airframe.objects.all()
    if options["outdated"]:
        return list(out_of_date(every))
    if options["owner"]:
        return list(with_setup(every.filter(owner=_member(options["owner"]))))
    if options["all"]:
        return list(with_setup(every))
    if not options["slugs"]:
        raise Refused("Name airframes, or give --all, --outdated or --owner LOGIN.")
    found = {airframe.slug: airframe for airframe in with_setup(every.filter(slug__in=options["slugs"]))}
    missing = [slug for slug in options["slugs"] if slug not in found]
    if missing:
        raise Refused(f"There is no airframe with a recorded setup called {', '.join(missing)}.")
    return list(found.values())


def _member(login: str | None) -> Member | None:
    if login is None:
        return None
    member = Member.objects.filter(login=Member.normalize_username(login), is_active=True).first()
    if member is None:
        raise Refused(f"There is no member {login!r}; give the login of somebody who may sign in.")
    return member


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{folder}: {error.strerror or error}. Give another folder after -o.") from error


def _all(
    slugs: list[str], folder: Path, paper: str, by: Member | None, processes: int
) -> Iterator[tuple[str, str, str]]:
    """(slug, file name, error) of every sheet as it is made."""
    work = [(slug, str(folder), paper, by.pk if by else None) for slug in slugs]
    if processes < 2:
        yield from (one_sheet(*each) for each in work)
        return
    # A connection to the database must not be shared by two processes.
    connections.close_all()
    start = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, mp_context=start, initializer=begin) as pool:
        waiting: list[Future[tuple[str, str, str]]] = [pool.submit(one_sheet, *each) for each in work]
        for done in as_completed(waiting):
            yield done.result()
