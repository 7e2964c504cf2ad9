"""A worker is killed while it prints: the batch goes on where it stood, and each sheet is there once."""

import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.models import F

from hangar.members.models import Member
from hangar.sheets.batches import GIVEN_UP, documents, go_on, start_batch
from hangar.sheets.models import ItemState, Print
from tests.factories import AirframeFactory, record_first

from .rendering import reader

TOP = Path(__file__).parents[3]
# It makes one sheet. In the midst of the next it says so, and comes to no end.
WORKER = """
import sys, threading, django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
from django.core.management import call_command
from hangar.sheets.render import Facts
made, pdf = [], Facts.pdf
def held(facts, paper):
    content = pdf(facts, paper)
    made.append(content)
    if len(made) == 2:
        print("in the midst", flush=True)
        threading.Event().wait()
    return content
Facts.pdf = held
call_command("db_worker", batch=True, interval=0, startup_delay=False, verbosity=0)
"""


@pytest.mark.database
@pytest.mark.django_db(transaction=True)
def test_each_sheet_once(owner: Member, settings: Any, tmp_path: Path) -> None:
    settings.HANGAR_DATA = tmp_path
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    airframes = [AirframeFactory.create(owner=owner) for _ in range(4)]
    for airframe in airframes:
        record_first(airframe)
    batch = start_batch(user=owner, airframes=airframes, paper="a4", base="", what="x")
    go_on(batch, seconds=60)
    environment = {
        **os.environ, "HANGAR_DATA": str(tmp_path), "HANGAR_TASKS": "worker", "PYTHONPATH": str(TOP),
        "DJANGO_SETTINGS_MODULE": "hangar.settings",
    }  # fmt: skip
    command = [sys.executable, "-c", WORKER, str(connection.settings_dict["NAME"])]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as worker:
        try:
            assert worker.stdout is not None
            assert worker.stdout.readline() == "in the midst\n"
        finally:
            worker.kill()
    left = batch.items.filter(state=ItemState.QUEUED)
    assert left.count() == len(airframes) - 1
    assert left.filter(copy__isnull=False).count() == 1

    # Another worker finds what was not begun; what was begun stays with the one that is gone, until it is given up.
    call_command("db_worker", batch=True, interval=0, verbosity=0, startup_delay=False)
    assert left.get().copy is not None
    go_on(batch)
    call_command("db_worker", batch=True, interval=0, verbosity=0, startup_delay=False)
    assert left.count() == 1
    left.update(queued_at=F("queued_at") - GIVEN_UP - timedelta(seconds=1))
    go_on(batch)
    call_command("db_worker", batch=True, interval=0, verbosity=0, startup_delay=False)

    assert set(batch.items.values_list("state", flat=True)) == {ItemState.DONE}
    assert sorted(Print.objects.values_list("revision__airframe", "copy")) == [(one.pk, 1) for one in airframes]
    assert [len(reader(content).pages) for _, _, content in documents(batch)] == [1] * len(airframes)
