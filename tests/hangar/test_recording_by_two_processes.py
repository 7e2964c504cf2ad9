"""Two processes record on one airframe at once: every recording is a revision or a conflict shown, and none is lost.

HANGAR_RECORDINGS=1000 makes it a long run by hand.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.history import broken_links
from hangar.setups.models import Revision

SCRIPT = Path(__file__).with_name("recording_process.py")
TIMES = int(os.environ.get("HANGAR_RECORDINGS", "60")) // 2


@pytest.mark.django_db(transaction=True)
def test_none_is_lost(airframe: Airframe, owner: Member, helper: Member, first: Revision, tmp_path: Path) -> None:
    meeting = tmp_path / "meeting"
    meeting.mkdir()
    arguments = [str(connection.settings_dict["NAME"]), str(meeting), airframe.slug]
    environment = {
        **os.environ, "HANGAR_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "hangar.settings",
        "PYTHONPATH": str(SCRIPT.parents[2]),
    }  # fmt: skip
    connection.close()
    processes = [
        subprocess.Popen(
            [sys.executable, str(SCRIPT), *arguments, member.login, str(TIMES)],
            env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for member in (owner, helper)
    ]  # fmt: skip
    told = [process.communicate(timeout=1800) for process in processes]
    assert [process.returncode for process in processes] == [0, 0], told
    outcomes = [tuple(outcome) for answer, _ in told for outcome in json.loads(answer)]

    assert len(outcomes) == 2 * TIMES
    numbers = [number for what, number in outcomes if what != "conflict"]
    assert sorted(numbers) == list(range(2, len(numbers) + 2))
    assert list(Revision.objects.order_by("number").values_list("number", flat=True)) == [1, *sorted(numbers)]
    assert all(conflicts for what, conflicts in outcomes if what == "conflict")
    assert list(broken_links(airframe)) == []
    # They did meet: otherwise nothing was tried.
    assert {what for what, _ in outcomes} > {"recorded"}
    counts = {what: sum(one == what for one, _ in outcomes) for what in ("recorded", "merged", "conflict")}
    print(counts)
