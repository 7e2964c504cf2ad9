"""A process that records on one airframe until it is killed: its arguments are the database, the airframe and a login.
It prints number and seal of each revision as soon as recording it has returned."""

import sys

import django
from django.conf import settings


def main(database: str, slug: str, login: str) -> None:
    settings.DATABASES["default"]["NAME"] = database
    django.setup()
    from hangar.fleet.models import Airframe
    from hangar.members.models import Member
    from hangar.setups.history import current_head
    from hangar.setups.operations import record

    member, airframe = Member.objects.get(login=login), Airframe.objects.get(slug=slug)
    while True:
        head = current_head(airframe)
        assert head is not None
        setup = head.setup.changed(remarks=f"after {head.number}")
        done = record(user=member, airframe=airframe, setup=setup, base=head, reason=f"after {head.number}")
        print(done.revision.number, done.revision.seal, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
