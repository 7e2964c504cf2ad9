"""`manage.py new_secretary`: a club's first secretary, and a way in for a club that is locked out."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.urls import reverse

from hangar.members.appointing import appoint, invite_secretary
from hangar.members.errors import MemberError
from hangar.members.links import link_address


class Command(BaseCommand):
    help = (
        "Make a member a secretary, and print a link with which they may set a new password; or, with --name, print a "
        "link with which a new secretary joins. Each link works once, for two days."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        who = parser.add_mutually_exclusive_group(required=True)
        who.add_argument("login", metavar="LOGIN", nargs="?", help="of the member who becomes a secretary")
        who.add_argument("--name", metavar="FULL NAME", help="of the person who joins as a secretary")
        parser.add_argument(
            "--address", default="", help="of the site, as members open it; by default as HANGAR_BASE_URL says"
        )

    def handle(self, *args: Any, login: str | None, name: str | None, address: str, **options: Any) -> None:
        try:
            invitation, token = appoint(login) if login is not None else invite_secretary(name or "")
        except MemberError as error:
            raise CommandError(str(error)) from error
        except DatabaseError as error:
            raise CommandError(f"The database refused ({error}). Is it there? `manage.py migrate` makes it.") from error
        if invitation.member is not None:
            self.stdout.write(f"{invitation.member.login} is a secretary now. For a new password, if one is needed:")
        else:
            self.stdout.write(f"For {invitation.full_name} to join as a secretary:")
        link = f"{address.rstrip('/')}{reverse('members:use_link', args=[token])}" if address else link_address(token)
        self.stdout.write(f"  {link}")
        self.stdout.write(f"The link works once, until {invitation.expires_at:%d %b %Y, %H:%M} UTC.")
