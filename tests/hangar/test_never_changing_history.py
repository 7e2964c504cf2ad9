"""What was recorded is never changed or deleted: not through the model, not through a QuerySet, not through SQL."""

from collections.abc import Callable

import pytest
from django.db import DatabaseError, connection, transaction

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups import triggers
from hangar.setups.errors import Immutable
from hangar.setups.models import Document, Revision
from hangar.setups.operations import record
from tests.factories import make_setup
from tests.flushing import triggers_lifted


def all_rows() -> list[object]:
    return [*Revision.objects.order_by("pk").values(), *Document.objects.order_by("pk").values()]


def change_reason(revision: Revision) -> None:
    revision.reason = "another"
    revision.save()


def change_text(revision: Revision) -> None:
    revision.document.text = "{}"
    revision.document.save()


@pytest.mark.parametrize(
    "attempt",
    [
        change_reason,
        change_text,
        lambda revision: revision.save(update_fields=["reason"]),
        lambda revision: revision.delete(),
        lambda revision: revision.document.delete(),
        lambda revision: Revision.objects.update(reason="another"),
        lambda revision: Revision.objects.filter(pk=revision.pk).delete(),
        lambda revision: Revision.objects.bulk_update([revision], ["reason"]),
        lambda revision: Revision.objects.bulk_create([revision], ignore_conflicts=True),
        lambda revision: Revision.objects.update_or_create(pk=revision.pk, defaults={"reason": "another"}),
        lambda revision: Document.objects.update(text="{}"),
        lambda revision: Document.objects.all().delete(),
        lambda revision: revision.airframe.revisions.all().delete(),
    ],
)
def test_the_model_refuses(first: Revision, attempt: Callable[[Revision], object]) -> None:
    before = all_rows()
    with pytest.raises(Immutable, match="record a new one instead"):
        attempt(first)
    assert all_rows() == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE setups_revision SET reason = 'another'",
        "UPDATE setups_revision SET author_key = author_key",
        "DELETE FROM setups_revision",
        "UPDATE setups_document SET text = '{}'",
        "DELETE FROM setups_document",
    ],
)
def test_the_database_refuses(first: Revision, statement: str) -> None:
    before = all_rows()
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        connection.cursor().execute(statement)
    assert all_rows() == before


OVER = {
    "sqlite": [
        "INSERT OR REPLACE INTO setups_document (digest, text) SELECT digest, '{}' FROM setups_document",
        "INSERT OR REPLACE INTO setups_revision SELECT id, number, recorded_at, 'another', origin, seal, "
        "airframe_id, author_key, document_id, parent_id FROM setups_revision",
        "REPLACE INTO setups_document (digest, text) SELECT digest, '{}' FROM setups_document",
    ],
    "postgresql": [
        "SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE setups_document CASCADE",
        "SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE setups_revision CASCADE",
        "INSERT INTO setups_document (digest, text) SELECT digest, '{}' FROM setups_document "
        "ON CONFLICT (digest) DO UPDATE SET text = '{}'",
    ],
}
"""Each database's own ways of writing over a row."""


@pytest.mark.parametrize("statement", OVER[connection.vendor])
def test_writing_over_a_row_is_refused(first: Revision, statement: str) -> None:
    before = all_rows()
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        connection.cursor().execute(statement)
    assert all_rows() == before


def test_a_django_update_that_goes_round_the_manager_is_refused_by_the_database(first: Revision) -> None:
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        Revision._base_manager.filter(pk=first.pk).update(reason="another")


def test_what_revisions_point_to_cannot_go_either(first: Revision, owner: Member, airframe: Airframe) -> None:
    for row in (owner, airframe):
        with pytest.raises(DatabaseError), transaction.atomic():
            row.delete()


def test_recording_goes_on_with_the_triggers_there(owner: Member, airframe: Airframe, first: Revision) -> None:
    done = record(user=owner, airframe=airframe, setup=make_setup(remarks="x"), base=first, reason="r")
    assert done.new


def test_triggers_that_are_missing_are_noticed(db: None) -> None:
    assert triggers.missing(connection) == set()
    with triggers_lifted():
        assert triggers.missing(connection) == triggers.names(connection.vendor)
    assert triggers.missing(connection) == set()
