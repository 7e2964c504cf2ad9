"""A model with everything on it, and browsers in which members are signed in."""

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from mixing import Setup
from tests.factories import record_first

GLIDER = Path(__file__).parents[2] / "mixing" / "data" / "electric_glider.json"
SignIn = Callable[[Member], Client]
# What the test client answers: Django's response with the request and the context that made it.
Answer = Any


@pytest.fixture
def sign_in() -> SignIn:
    """A browser in which this member is signed in."""

    def signed_in(member: Member) -> Client:
        client = Client()
        client.force_login(member)
        return client

    return signed_in


@pytest.fixture
def glider_setup() -> Setup:
    """Four wing servos, elevator, rudder and motor; seven channels; phases; one lever for the brake."""
    return Setup.from_text(GLIDER.read_bytes())


@pytest.fixture
def glider(airframe: Airframe, glider_setup: Setup) -> Revision:
    """The first revision of the airframe, with that setup."""
    revision: Revision = record_first(airframe, glider_setup)
    return revision


def speak(member: Member, language: str, length_unit: str) -> None:
    """From now on pages speak to this member in that language, with lengths in that unit."""
    Member.objects.filter(pk=member.pk).update(language=language, length_unit=length_unit)


def words(response: Answer) -> str:
    """What a page says, without its tags, each run of white space as one space."""
    body = re.sub(r"<svg.*?</svg>|<script.*?</script>", " ", response.content.decode(), flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", body)))


def values(response: Answer) -> dict[str, str]:
    """What stands in the text boxes of a page, by name."""
    body = response.content.decode()
    boxes = re.findall(r"<input\b[^>]*>", body)
    found = {}
    for box in boxes:
        attributes = dict(re.findall(r'(\w[\w-]*)="([^"]*)"', box))
        if "name" in attributes and attributes.get("type") not in ("radio", "checkbox"):
            found[attributes["name"]] = unescape(attributes.get("value", ""))
    areas = re.findall(r'<textarea\b[^>]*name="([^"]*)"[^>]*>(.*?)</textarea>', body, flags=re.DOTALL)
    return {**found, **{name: unescape(text).lstrip("\r\n") for name, text in areas}}


def error_at(response: Answer, name: str) -> str:
    """The error that stands beside the field of that name, without its tags."""
    match = re.search(rf'id="id_{name}_error"[^>]*>(.*?)</div>', response.content.decode(), flags=re.DOTALL)
    assert match is not None, f"no error at {name}: {words(response)[:2000]}"
    return unescape(re.sub(r"<[^>]+>", " ", match[1])).strip()
