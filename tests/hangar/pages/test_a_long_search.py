"""A search as long as anyone may paste is answered: SQLite gives up on a pattern of 50,000 characters."""

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from tests.hangar.pages.conftest import SignIn


@pytest.mark.database
@pytest.mark.parametrize("page", ["flights:line_up", "members:list"])
def test_a_long_search(airframe: Airframe, secretary: Member, sign_in: SignIn, page: str) -> None:
    browser = sign_in(secretary)
    for search, count in (("a" * 60_000, 0), ("olive" + " " * 60_000, 1)):
        answer = browser.get(reverse(page), {"search": search})
        assert answer.status_code == 200
        assert len(answer.context["table"].rows) == count
