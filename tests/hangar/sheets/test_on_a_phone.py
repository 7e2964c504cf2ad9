"""The sheet as one file for a phone: it needs nothing but itself, and says that it may be out of date."""

import base64
import hashlib
import re

from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets.models import Kind, Print
from mixing import Rig
from tests.factories import record_first
from tests.mixing.example import example


def kept(client: Client, member: Member, slug: str = "big-glider") -> str:
    client.force_login(member)
    answer = client.post(reverse("sheets:print_phone", args=[slug, 1]))
    response = client.get(answer["Location"])
    assert response["Content-Disposition"] == f'attachment; filename="{slug}-revision-1.html"'
    return response.content.decode()


def test_it_says_what_it_is_and_that_it_may_be_out_of_date(client: Client, reader: Member, first: Revision) -> None:
    page = kept(client, reader)
    copy = Print.objects.get()
    assert (copy.kind, copy.copy, copy.by) == (Kind.PHONE, 1, reader)
    assert "Revision <b>1</b>" in page
    assert re.search(
        r"This file may be out of date\.</b> It is of revision 1, saved \d+ \w+ \d{4}, \d\d:\d\d UTC", page
    )
    assert f'href="http://testserver/s/{copy.token}"' in page
    assert "copy 1 of this revision" in page


def test_it_asks_for_nothing(client: Client, reader: Member, first: Revision) -> None:
    page = kept(client, reader)
    assert not re.search(r"<(script|img|link|iframe|object|form|base)\b|\bon\w+=|style=|@import|url\(", page)
    assert re.findall(r'(?:href|src)="([^"]*)"', page) == [f"http://testserver/s/{Print.objects.get().token}"]


def test_its_policy_allows_its_own_style_and_nothing_else(client: Client, reader: Member, first: Revision) -> None:
    page = kept(client, reader)
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    (style,) = re.findall(r"<style>(.*?)</style>", page, flags=re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert page.index("Content-Security-Policy") < page.index("<style>")


def test_what_members_typed_is_text(client: Client, owner: Member, first: Revision) -> None:
    first.airframe.name = '<script>alert("1")</script>'
    first.airframe.save()
    page = kept(client, owner)
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_its_numbers_are_those_of_the_rig(client: Client, owner: Member, first: Revision) -> None:
    airframe = first.airframe
    airframe.pk, airframe.slug = None, "another"
    airframe.save()
    record_first(airframe, example())
    page = " ".join(re.sub(r"<[^>]+>", " ", kept(client, owner, "another")).split())
    throw = float(Rig(example()).at({"lever": -100.0}).throw_mm["right_flap"])
    assert f"Flap left + right {throw:.1f} ↓" in page
    assert "Signs unproven".lower() in page.lower()


def test_nothing_is_wider_than_the_phone(client: Client, owner: Member, first: Revision) -> None:
    """Throws stand under their surface, five abreast, and what to enter under its channel: no table of many columns."""
    airframe = first.airframe
    airframe.pk, airframe.slug = None, "another"
    airframe.save()
    record_first(airframe, example())
    page = kept(client, owner, "another")
    for table in re.findall(r'<table class="group">.*?</table>', page, flags=re.DOTALL):
        assert max(len(re.findall(r"<t[dh]\b", row)) for row in re.findall(r"<tr>.*?</tr>", table)) <= 5
    channels = re.findall(r"<h3>(\d+) ", page)
    assert channels == [str(channel.number) for channel in example().channels]


def test_a_stranger_must_sign_in(client: Client, first: Revision) -> None:
    for name in ("phone", "print_phone", "pocket_card", "print_pocket_card"):
        response = client.post(reverse(f"sheets:{name}", args=["big-glider", 1]))
        assert response.status_code == 302
        assert response["Location"].startswith(reverse("members:sign_in"))
