"""One of the processes that record on one airframe at once: its arguments are the database, a folder where they meet,
the airframe, its own login and how often it records. It prints what became of each recording."""

import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import django
from django.conf import settings

from tests.patience import PATIENCE_S


def meet(folder: Path, login: str) -> None:
    """Go on when both processes are here."""
    (folder / login).touch()
    ends = time.monotonic() + PATIENCE_S
    while len(list(folder.iterdir())) < 2:
        assert time.monotonic() < ends, "the other did not come"
        time.sleep(0.001)


def main(database: str, folder: str, slug: str, login: str, times: int) -> Iterator[tuple[str, int]]:
    settings.DATABASES["default"]["NAME"] = database
    django.setup()
    from hangar.fleet.models import Airframe
    from hangar.members.models import Member
    from hangar.setups.errors import RecordedMeanwhile
    from hangar.setups.history import current_head
    from hangar.setups.operations import record

    member, airframe = Member.objects.get(login=login), Airframe.objects.get(slug=slug)
    channel = 1 if login == "owner" else 2
    for turn in range(times):
        head = current_head(airframe)
        assert head is not None
        if turn == 0:
            # Both hold the same revision: at least these two recordings get in each other's way.
            meet(Path(folder), login)
        # Each has a channel of its own, and every third time both write the remarks.
        channels = [one.model_dump() for one in head.setup.channels]
        channels[channel - 1]["label"] = f"{login} {turn}"
        remarks = f"{login} {turn}" if turn % 3 == 0 else head.setup.remarks
        setup = head.setup.changed(channels=channels, remarks=remarks)
        try:
            done = record(user=member, airframe=airframe, setup=setup, base=head, reason=f"{login} {turn}")
        except RecordedMeanwhile as meanwhile:
            yield "conflict", len(meanwhile.conflicts)
        else:
            assert done.new
            yield "merged" if done.merged else "recorded", done.revision.number


if __name__ == "__main__":
    database, folder, slug, login, times = sys.argv[1:]
    print(json.dumps(list(main(database, folder, slug, login, int(times)))))
