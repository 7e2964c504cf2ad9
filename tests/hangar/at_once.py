"""Two members do something at the same moment: threads, each with a connection of its own."""

import threading
import time
from collections.abc import Callable
from typing import Any

from django.db import connection, transaction

from tests.patience import PATIENCE_S

Work = Callable[[], Any]


def at_once(*works: Work) -> list[BaseException | None]:
    """Start all at one moment, each in its own thread with its own connection; what each raised."""
    gate = threading.Barrier(len(works))
    raised: list[BaseException | None] = [None] * len(works)

    def run(index: int, work: Work) -> None:
        try:
            gate.wait(timeout=PATIENCE_S)
            work()
        except BaseException as error:
            raised[index] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(index, work)) for index, work in enumerate(works)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=PATIENCE_S)
    assert not any(thread.is_alive() for thread in threads)
    return raised


def while_not_yet_written(first: Work, second: Work) -> BaseException | None:
    """Do `first`, and before it can be seen by others begin `second`; what that one raised.

    On PostgreSQL the second then certainly waits for the first. SQLite lets nobody begin to write before.
    """
    raised: list[BaseException] = []

    def run() -> None:
        try:
            second()
        except BaseException as error:
            raised.append(error)
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    with transaction.atomic():
        first()
        thread.start()
        if connection.vendor == "postgresql":
            _until_somebody_waits(thread)
    thread.join(PATIENCE_S)
    assert not thread.is_alive()
    return raised[0] if raised else None


def _until_somebody_waits(thread: threading.Thread) -> None:
    ends = time.monotonic() + PATIENCE_S
    while thread.is_alive() and time.monotonic() < ends:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM pg_locks WHERE NOT granted")
            if cursor.fetchone():
                return
        time.sleep(0.01)
