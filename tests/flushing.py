"""Emptying the test database although the database refuses to delete what was recorded.

A test with real transactions (threads, a live server) is followed by Django's flush, which deletes all rows. The
triggers on documents and revisions refuse just that, as they should everywhere else: they are taken away around the
flush and made again after it. Nothing in the product does this.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

from django.db import connection
from django.test import TransactionTestCase

from hangar.setups import triggers


@contextmanager
def triggers_lifted() -> Iterator[None]:
    """Without the triggers inside, with them again after it."""
    triggers.remove(connection)
    try:
        yield
    finally:
        triggers.install(connection)


@contextmanager
def flush_allowed() -> Iterator[None]:
    """While this lasts, Django's flush after a test with real transactions works."""
    plain: Any = TransactionTestCase.__dict__["_fixture_teardown"]

    def without_triggers(case: TransactionTestCase) -> None:
        with triggers_lifted():
            plain(case)

    with mock.patch.object(TransactionTestCase, "_fixture_teardown", without_triggers):
        yield
