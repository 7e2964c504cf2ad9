"""A worker is killed while it prints: the batch goes on where it stood, and each sheet is there once."""

import os
import signal
import subprocess
import sys
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.models import F

from hangar.members.models import Member
from hangar.sheets.batches import GIVEN_UP, documents, go_on, start_batch
from hangar.sheets.models import Batch, ItemState, Print
from tests.factories import AirframeFactory, record_first

from .rendering import reader

TOP = Path(__file__).parents[3]
WORKER = """
import sys, django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
from django.core.management import call_command
call_command("db_worker", batch=True, interval=0, startup_delay=False, verbosity=0)
"""


def stopped_while_printing(worker: "subprocess.Popen[bytes]", batch: Batch) -> None:
    """Let it go until one sheet is made and the next has its copy but is no finished sheet; there it is held."""
    end = time.monotonic() + 100
    while time.monotonic() < end:
        assert worker.poll() is None, "it ended before it was met while printing"
        worker.send_signal(signal.SIGSTOP)
        begun = batch.items.filter(state=ItemState.QUEUED, copy__isnull=False).exists()
        if begun and batch.items.filter(state=ItemState.DONE).exists():
            return
        worker.send_signal(signal.SIGCONT)
        time.sleep(0.02)
    pytest.fail("no sheet was begun")


@pytest.mark.database
@pytest.mark.django_db(transaction=True)
def test_each_sheet_once(owner: Member, settings: Any, tmp_path: Path) -> None:
    settings.HANGAR_DATA = tmp_path
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    airframes = [AirframeFactory.create(owner=owner) for _ in range(4)]
    for airframe in airframes:
        record_first(airframe)
    batch = start_batch(user=owner, airframes=airframes, paper="a4", base="", what="x")
    go_on(batch)
    environment = {
        **os.environ, "HANGAR_DATA": str(tmp_path), "HANGAR_TASKS": "worker", "PYTHONPATH": str(TOP),
        "DJANGO_SETTINGS_MODULE": "hangar.settings",
    }  # fmt: skip
    worker = subprocess.Popen([sys.executable, "-c", WORKER, str(connection.settings_dict["NAME"])], env=environment)
    try:
        stopped_while_printing(worker, batch)
    finally:
        worker.kill()
        worker.wait(20)
    left = batch.items.filter(state=ItemState.QUEUED)
    assert 1 <= left.count() < len(airframes)
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
