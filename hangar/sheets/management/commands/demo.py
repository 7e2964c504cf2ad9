"""`manage.py demo`: a club's hangar with invented data, one printed sheet, and the site to look at it."""

import argparse
import logging
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.core.servers import basehttp

from hangar import demo
from hangar.bootstrap import demo_options
from hangar.bootstrap.terminal import Stop, Stopwatch
from hangar.setups.models import Revision


class Command(BaseCommand):
    """Make the demo club, print a sheet, serve the site.

    What goes wrong is raised as Stop, which manage.py says in one line.
    """

    help = "Load a club with invented data, print one setup sheet as PDF and serve the site on this machine."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Take the options that the start has looked at before."""
        demo_options.add_arguments(parser)

    def handle(self, *args: Any, no_serve: bool, port: int, **options: Any) -> None:
        """Every step says one line; a second run finds the work done."""
        self._make_database()
        watch = Stopwatch()
        try:
            club = demo.load(say=self._say)
        except demo.DemoError as error:
            raise Stop(str(error)) from error
        self._say(f"The demo club is loaded ({watch}).")
        self._print_sheet(club.showpiece)
        self._say_who(club.logins)
        if not no_serve:
            self._serve(port)

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _make_database(self) -> None:
        watch = Stopwatch()
        is_new = demo.put_blank()
        call_command("migrate", verbosity=0, interactive=False)
        if is_new:
            demo.keep_blank()
        self._say(f"The database is ready ({watch}).")

    def _print_sheet(self, slug: str) -> None:
        from hangar.sheets.render import setup_sheet_pdf  # a slow library, which no other step needs

        watch = Stopwatch()
        revision = Revision.objects.filter(airframe__slug=slug).latest("number")
        path = settings.HANGAR_DATA / "sheets" / f"{slug}-{revision.number}.pdf"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(setup_sheet_pdf(revision))
        self._say(f"The sheet of {slug}, revision {revision.number}, is in {path} ({watch}).")

    def _say_who(self, logins: Sequence[demo.Login]) -> None:
        self._say("Sign in with one of these names:")
        width = max((len(one.login) for one in logins), default=0)
        for one in logins:
            self._say(f"  {one.login:<{width}}  password {one.password}  {one.role}, {one.name}")

    def _serve(self, port: int) -> None:
        application = basehttp.get_internal_wsgi_application()
        # Each request would be a line of its own; the terminal is for what the pilot must see. Not before the
        # application is there: making it sets up the logging anew.
        logging.getLogger("django.server").setLevel(logging.ERROR)
        try:
            basehttp.run(
                demo_options.HOST,
                port,
                application,
                threading=True,
                on_bind=lambda bound: self._say(f"Open http://{demo_options.HOST}:{bound}/ (Ctrl-C ends it)."),
            )
        except OSError as error:
            raise Stop(demo_options.port_refused(port, error)) from error
        except KeyboardInterrupt:
            self._say("\nStopped.")
