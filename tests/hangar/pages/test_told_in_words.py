"""What is refused or not there says so in words. (Who may open what at all is in the table of tests/hangar/access.)"""

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.hangar.pages.conftest import SignIn, words

COUPLING = reverse("setups:coupling", args=["big-glider"])


def test_a_reader_is_told_whom_to_ask(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    assert "ask its owner" in words(sign_in(reader).get(reverse("setups:draft", args=["big-glider"])))
    assert "ask its owner" in words(sign_in(reader).post(f"{COUPLING}?control=lever&channel=6&phase=", {"do": "work"}))


def test_a_model_that_is_not_there(owner: Member, sign_in: SignIn) -> None:
    answer = sign_in(owner).get(reverse("flights:airframe", args=["no-such-model"]))
    assert answer.status_code == 404
    assert "There is no such page" in words(answer)


@pytest.mark.parametrize("query", ["", "?control=lever", "?control=wheel&channel=6", "?control=lever&channel=99",
                                   "?control=lever&channel=six", "?control=lever&channel=6&phase=night"])  # fmt: skip
def test_a_coupling_of_what_is_not_there(glider: Revision, owner: Member, sign_in: SignIn, query: str) -> None:
    assert sign_in(owner).get(COUPLING + query).status_code == 404


def test_nothing_to_release(airframe: Airframe, instructor: Member, sign_in: SignIn) -> None:
    answer = sign_in(instructor).get(reverse("flights:release", args=[airframe.slug]))
    assert answer["Location"] == reverse("flights:airframe", args=[airframe.slug])
