"""Lists: cells are escaped, choices put into words, what is missing told, and a deep page read by its keys alone."""

from typing import Any

import django_tables2
import pytest
from django.db import connection
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from django_tables2 import RequestConfig

from hangar.fleet.models import Airframe
from hangar.paging import KeyPaginator, by_keys
from hangar.tables import Table
from tests.factories import AirframeFactory

pytestmark = [pytest.mark.django_db, pytest.mark.database]


class Few(Table):
    name = django_tables2.Column()
    status = django_tables2.Column()
    mark = django_tables2.Column(verbose_name='The "mark"', default="none <yet>")
    owner = django_tables2.Column(accessor="owner__personal__full_name")
    both = django_tables2.Column(accessor="span_mm", empty_values=())
    alone = django_tables2.Column(accessor="slug")

    def render_both(self, value: int | None, record: Airframe) -> str:
        return f"{value} {record.slug}"

    def render_alone(self, record: Airframe) -> int:
        return len(record.slug)


def shown(page: int = 1) -> Few:
    table = Few(Airframe.objects.select_related("owner__personal").order_by("name"))
    RequestConfig(RequestFactory().get("/", {"page": page}), paginate={"per_page": 2}).configure(table)
    return table


def test_each_cell_says_what_its_column_says_and_is_escaped() -> None:
    AirframeFactory.create(slug="a", name="A <b>", owner__name__full_name="O & O", span_mm=None)
    assert shown().body == (
        '<tr><th scope="row">A &lt;b&gt;</th><td data-label="Status">airworthy</td>'
        '<td data-label="The &quot;mark&quot;">none &lt;yet&gt;</td><td data-label="Full name">O &amp; O</td>'
        '<td data-label="Wing span in mm">None a</td><td data-label="Slug">1</td></tr>\n'
    )


def test_of_a_member_whose_name_is_gone_the_cell_stays_empty() -> None:
    airframe = AirframeFactory.create()
    airframe.owner.personal.delete()
    assert '<td data-label="Full name">—</td>' in shown().body


@pytest.fixture
def seven() -> None:
    for letter in "GBACFED":
        AirframeFactory.create(name=letter)


def names(rows: Any) -> list[str]:
    return [row.name for row in rows]


@pytest.mark.usefixtures("seven")
def test_a_page_has_its_rows_in_order_and_what_is_skipped_is_not_read() -> None:
    query = Airframe.objects.order_by("-name")
    assert names(by_keys(query, slice(2, 5))) == ["E", "D", "C"]
    assert names(KeyPaginator(query, 3).get_page(3)) == ["A"]
    assert names(KeyPaginator(query, 3).get_page("last of all")) == ["G", "F", "E"]
    with CaptureQueriesContext(connection) as asked:
        body = shown(page=3).body
    assert [body.count(f">{letter}</th>") for letter in "DEFG"] == [0, 1, 1, 0]
    skipping = [one["sql"] for one in asked.captured_queries if "OFFSET 4" in one["sql"]]
    assert len(skipping) == 1
    assert "mark" not in skipping[0]
