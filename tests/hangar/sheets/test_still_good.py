"""The QR code of a copy: it can be read from the page, and leads to a page that tells only whether the copy is good."""

import io
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse
from PIL import Image

from hangar.fleet.models import Airframe
from hangar.flights.operations import ground, withdraw_grounding
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.sheets.card import change_card_pdf
from hangar.sheets.models import Kind, LostCopy, Print
from hangar.sheets.operations import record_print, report_lost
from hangar.sheets.qr import base_address, qr_code, side_mm
from hangar.sheets.render import setup_sheet_pdf
from tests.hangar.pictures.reading import dark_runs
from tests.patience import PATIENCE_S

HANGAR = "https://hangar.example"


def pictured(content: bytes, folder: Path, dpi: int = 150) -> Image.Image:
    """The first page as a picture, made by a program that has nothing to do with the one that made the PDF."""
    path = folder / "sheet.pdf"
    path.write_bytes(content)
    command = ["pdftoppm", "-r", str(dpi), "-gray", "-png", "-singlefile", str(path), str(folder / "sheet")]
    subprocess.run(command, check=True, timeout=PATIENCE_S)
    return Image.open(io.BytesIO((folder / "sheet.png").read_bytes())).convert("L")


def second(airframe: Airframe, first: Revision) -> Revision:
    setup = first.setup.changed(remarks="Another remark.")
    return record(user=airframe.owner, airframe=airframe, setup=setup, base=first, reason="a remark").revision


def told(address: str) -> str:
    """What a visitor reads, who is not signed in."""
    response = Client().get(address.removeprefix(HANGAR))
    assert response.status_code == 200
    (main,) = re.findall(r"<main.*</main>", response.content.decode(), flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())


@pytest.fixture
def copy(settings: Any, owner: Member, first: Revision) -> Print:
    settings.HANGAR_BASE_URL = HANGAR
    return record_print(user=owner, revision=first)


def test_read_from_the_page_it_tells_how_things_stand(
    copy: Print, airframe: Airframe, first: Revision, owner: Member, tmp_path: Path
) -> None:
    page = pictured(setup_sheet_pdf(first, copy=copy), tmp_path)
    (code,) = zxingcpp.read_barcodes(page)
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    assert code.text == f"{HANGAR}/s/{copy.token}"
    assert told(code.text).startswith("Hingeline Current")
    second(airframe, first)
    assert told(code.text).startswith("Hingeline Superseded Do not fly from this sheet.")
    grounding = airframe.groundings.create(since=copy.at, by=owner, reason="cracked spar")
    assert told(code.text).startswith("Hingeline Grounded Do not fly.")
    grounding.released_at, grounding.released_by, grounding.release_reason = grounding.since, owner, "mended"
    grounding.save()
    assert "Grounded" not in told(code.text)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_numbered_change_card_has_a_code_as_well(
    settings: Any, airframe: Airframe, first: Revision, owner: Member, tmp_path: Path, paper: str
) -> None:
    """One that stays in the box may be entered weeks later."""
    settings.HANGAR_BASE_URL = HANGAR
    later = second(airframe, first)
    card = record_print(user=owner, revision=later, kind=Kind.CHANGE_CARD, before=first, paper=paper)
    page = pictured(change_card_pdf(first, later, paper=paper, copy=card), tmp_path, dpi=200)
    (code,) = zxingcpp.read_barcodes(page)
    assert told(code.text).startswith("Hingeline Current")
    assert (code.position.top_right.x - code.position.top_left.x) / 200 * 25.4 >= 18
    record(user=owner, airframe=airframe, setup=first.setup, base=later, reason="as it was")
    assert told(code.text).startswith("Hingeline Superseded")
    assert zxingcpp.read_barcodes(pictured(change_card_pdf(first, later, paper=paper), tmp_path)) == []


def test_a_grounding_that_was_withdrawn_grounds_no_longer(
    copy: Print, airframe: Airframe, owner: Member, instructor: Member
) -> None:
    address = reverse("sheets:still_good", args=[copy.token])
    grounding = ground(user=owner, airframe=airframe, reason="cracked spar")
    assert "Do not fly." in told(address)
    withdraw_grounding(user=instructor, grounding=grounding, reason="it was the other model")
    assert "Do not fly" not in told(address)


def test_it_is_large_enough_and_has_its_quiet_zone(copy: Print, first: Revision, tmp_path: Path) -> None:
    """ISO/IEC 18004: four modules of white on every side; the order was for 18 mm at least."""
    dpi = 300
    page = pictured(setup_sheet_pdf(first, copy=copy), tmp_path, dpi)
    (code,) = zxingcpp.read_barcodes(page)
    place = code.position
    wide = (place.top_right.x - place.top_left.x) / dpi * 25.4
    assert wide >= 18
    modules = 33
    quiet = 4 * wide / modules / 25.4 * dpi
    left, top = place.top_left.x, place.top_left.y
    right, bottom = place.bottom_right.x, place.bottom_right.y
    around = page.crop(
        (round(left - quiet) + 2, round(top - quiet) + 2, round(right + quiet) - 2, round(bottom + quiet) - 2)
    )
    inside = (round(quiet) - 4, round(quiet) - 4, around.width - round(quiet) + 4, around.height - round(quiet) + 4)
    around.paste(255, inside)
    assert around.getextrema() == (255, 255)


@pytest.mark.parametrize("length", [1, 40, 120])
def test_codes_of_long_addresses_are_as_good(length: int) -> None:
    address = f"https://{'h' * length}.example/s/Z3J1ZW5lcl9GYWxrZV8_MQ"
    markup = qr_code(address, title="code")
    assert side_mm(address) >= 18
    (size,) = re.findall(r'viewBox="0 0 (\d+) ', markup)
    picture = Image.new("L", (int(size), int(size)), 255)
    for row, start, end in dark_runs(markup):
        picture.paste(0, (start, row, end, row + 1))
    (code,) = zxingcpp.read_barcodes(picture.resize((int(size) * 4, int(size) * 4), Image.Resampling.NEAREST))
    assert code.text == address
    assert code.ec_level in ("M", "Q", "H")


def test_a_sheet_without_a_number_has_no_code(first: Revision, tmp_path: Path) -> None:
    assert zxingcpp.read_barcodes(pictured(setup_sheet_pdf(first), tmp_path)) == []


def test_it_tells_no_name_no_number_and_nobody(copy: Print, airframe: Airframe, owner: Member) -> None:
    page = Client().get(f"/s/{copy.token}").content.decode()
    for secret in (airframe.name, airframe.slug, owner.display_name, "revision 1", copy.revision.seal[:8]):
        assert secret not in page
    signed_in = Client()
    signed_in.force_login(owner)
    assert owner.display_name not in signed_in.get(f"/s/{copy.token}").content.decode()


def test_it_is_kept_nowhere(copy: Print) -> None:
    response = Client().get(f"/s/{copy.token}")
    assert response["X-Robots-Tag"] == "noindex, nofollow"
    assert response["Referrer-Policy"] == "no-referrer"
    assert "no-store" in response["Cache-Control"]
    assert not response.cookies


def test_it_takes_one_query(copy: Print, client: Client, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(1):
        client.get(f"/s/{copy.token}")


@pytest.mark.parametrize("token", ["x" * 22, "x", "x" * 5000, "%00" * 22, "é" * 22])
def test_what_was_never_printed_is_not_known(client: Client, db: None, token: str) -> None:
    response = client.get(f"/s/{token}")
    assert response.status_code == 404
    assert "No sheet is known by this code" in response.content.decode()


def test_it_is_only_read(copy: Print, client: Client) -> None:
    assert client.post(f"/s/{copy.token}").status_code == 405


def test_a_new_secret_key_does_not_spoil_old_paper(copy: Print, settings: Any) -> None:
    settings.SECRET_KEY = "another one, since the old one was seen"
    assert "Current" in told(f"/s/{copy.token}")


def test_tokens_are_long_and_never_the_same(owner: Member, first: Revision) -> None:
    tokens = {record_print(user=owner, revision=first).token for _ in range(20)}
    assert len(tokens) == 20
    # 22 characters of 6 bits hold the 128 of the token.
    assert {len(token) for token in tokens} == {22}


def test_the_address_is_the_settings_or_the_browsers(settings: Any, client: Client, owner: Member) -> None:
    settings.HANGAR_BASE_URL = ""
    assert base_address() == "http://localhost:8000/"
    client.force_login(owner)
    request = client.get(reverse("flights:line_up")).wsgi_request
    assert base_address(request) == "http://testserver/"
    settings.HANGAR_BASE_URL = HANGAR
    assert base_address(request) == HANGAR + "/"


def test_a_lost_copy_is_superseded_by_the_one_that_replaces_it(copy: Print, airframe: Airframe, owner: Member) -> None:
    new = report_lost(user=owner, copy=copy)
    assert (new.copy, new.revision, new.kind, new.paper) == (2, copy.revision, Kind.SETUP_SHEET, copy.paper)
    assert LostCopy.objects.get().replaced_by == new
    assert "Superseded" in told(f"/s/{copy.token}")
    assert "Current" in told(f"/s/{new.token}")
