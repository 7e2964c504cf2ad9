"""A process of its own that answers pages, then says which of the modules that it was given by name it has loaded."""

import os
import sys


def answer(layout: str) -> None:
    """The line-up, the page of an airframe with a setup, and its bench."""
    import django

    django.setup()
    from django.core.management import call_command
    from django.test import Client

    from hangar.fleet.operations import add_airframe
    from hangar.members.models import Member
    from hangar.setups.operations import record
    from mixing import Setup

    call_command("migrate", verbosity=0)
    owner = Member.objects.create_user("owner")
    airframe = add_airframe(user=owner, name="Quick Glider")
    with open(layout, "rb") as file:
        setup = Setup.from_text(file.read())
    record(user=owner, airframe=airframe, setup=setup, base=None, reason="first setup", origin="start")
    browser = Client(headers={"host": "localhost"})
    browser.force_login(owner)
    for address in ("/", f"/airframes/{airframe.slug}/", f"/airframes/{airframe.slug}/bench/"):
        assert browser.get(address).status_code == 200, address


if __name__ == "__main__":
    os.environ["DJANGO_SETTINGS_MODULE"] = "hangar.settings"
    answer(sys.argv[1])
    print(" ".join(name for name in sys.argv[2:] if name in sys.modules))
