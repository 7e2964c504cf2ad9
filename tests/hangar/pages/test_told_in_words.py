"""What is refused or not there says so in words. (Who may open what at all is in the table of tests/hangar/access.)"""

import importlib
import pkgutil
from collections.abc import Iterator

import pytest
from django import forms
from django.urls import reverse

import hangar
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


def _forms(kind: type[forms.Form] = forms.Form) -> Iterator[type[forms.Form]]:
    for form in kind.__subclasses__():
        yield form
        yield from _forms(form)


def test_no_empty_box_is_told_in_words_that_are_not_ours() -> None:
    for module in pkgutil.walk_packages(hangar.__path__, "hangar."):
        if module.name.endswith("forms"):
            importlib.import_module(module.name)
    boxes = [
        (f"{form.__name__}.{name}", str(box.error_messages.get("required")))
        for form in _forms() if form.__module__.startswith("hangar.")
        for name, box in form.base_fields.items() if box.required
    ]  # fmt: skip
    assert len(boxes) > 100
    assert [name for name, told in boxes if told == str(forms.Field.default_error_messages["required"])] == []
