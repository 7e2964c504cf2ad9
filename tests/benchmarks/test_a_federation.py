"""The federation that pages are timed with is whole: of the size that was asked for, its seals and documents true."""

import random
from collections import Counter
from io import StringIO

import pytest
from django.core.management import call_command

from hangar.fleet.models import Airframe
from hangar.flights import glances
from hangar.flights.models import Flight, Glance
from hangar.setups.models import Document, Revision
from mixing import Setup

from .federation import cast
from .federation.building import Size, build
from .federation.histories import lengths
from .pages import Line, addresses

pytestmark = [pytest.mark.django_db, pytest.mark.database]
SIZE = Size(airframes=12)


def test_it_is_of_the_size_asked_for_and_its_history_holds() -> None:
    build(SIZE)
    assert (Airframe.objects.count(), Revision.objects.count(), Flight.objects.count()) == (12, 240, 120)
    told = StringIO()
    call_command("verify_history", stdout=told)
    assert told.getvalue() == "Every seal holds: 12 chains, 240 revisions.\n"


def test_its_documents_are_canonical_and_many_revisions_share_one() -> None:
    build(SIZE)
    texts = Document.objects.values_list("text", flat=True)
    assert all(Setup.from_text(text).text() == text for text in texts)
    assert len(texts) < 0.8 * Revision.objects.count()


def test_the_rows_of_the_line_up_are_those_of_the_rules() -> None:
    build(SIZE)
    assert not Glance.objects.filter(stale=True).exists()
    assert list(glances.differing(list(Airframe.objects.values_list("pk", flat=True)))) == []


def test_what_comes_after_it_gets_numbers_of_its_own() -> None:
    build(SIZE)
    head = Revision.objects.latest("pk")
    fresh = Airframe.objects.create(slug="fresh", name="Fresh", owner=head.airframe.owner)
    row = Revision.objects.create(
        airframe=fresh, number=1, document=head.document, parent=None, author=head.author, reason="first",
        recorded_at=head.recorded_at, origin="start", seal="0" * 64,
    )  # fmt: skip
    assert row.pk > head.pk


def test_most_histories_are_short_and_some_have_hundreds() -> None:
    found = lengths(random.Random(1), 640, 12_800)
    assert sum(found) == 12_800
    kinds = Counter("long" if n >= 100 else "usual" if n >= 5 else "few" for n in found)
    assert kinds["long"] == 10
    assert kinds["usual"] > 500
    assert kinds["few"] > 10


def test_airframes_to_be_timed_are_found_and_like_each_other() -> None:
    build(Size(airframes=30))
    usual, longest = cast.usual_and_longest()
    assert cast.most_like(usual) == usual
    assert longest.revisions >= usual.revisions > 1
    words = cast.cast_of(usual)
    assert words["slug"] == usual.slug
    pages = list(addresses())
    assert "flights:throw_check /airframes/{slug}/measured/{the_check}/" in pages
    assert "list /?sort=-owner&page=last" in pages
    assert {"the_check", "copy_token", "receiver"} <= words.keys()


def test_a_page_above_three_times_its_time_is_told() -> None:
    assert "2.50" in str(Line("/", (7, 7), (0.010, 0.025)))
    assert "TOO SLOW" not in str(Line("/", (7, 7), (0.010, 0.025)))
    assert str(Line("/", (7, 8), (0.010, 0.031))).endswith("  MORE QUERIES  TOO SLOW")
