"""Two hosts on one database, each with a data folder of its own: what is begun at one goes on at the other.

They share the secret key and the storage of photos, and nothing else; without that storage only photos are missing.
"""

import hashlib
import http.client
import io
import os
import re
import uuid
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.db import connection
from PIL import Image

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import make_setup, record_first
from tests.hangar.serving import Served, served
from tests.patience import PATIENCE_S

PASSWORD = "three dry socks"
HOSTS = ("one", "other")


class Browser:
    """Keeps its cookies, whichever host it asks: in front of several hosts stands one name."""

    def __init__(self) -> None:
        self.cookies: dict[str, str] = {}

    def ask(self, host: Served, page: str, sent: bytes | None = None, kind: str = "") -> tuple[int, str, bytes]:
        """Status, where it leads, and what came."""
        asked = http.client.HTTPConnection("127.0.0.1", host.port, timeout=PATIENCE_S)
        headers = {
            "Host": "localhost", "Content-Type": kind, "Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()),
        }  # fmt: skip
        asked.request("GET" if sent is None else "POST", page, body=sent, headers=headers)
        answer = asked.getresponse()
        body = answer.read()
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        asked.close()
        return answer.status, answer.headers.get("Location", ""), body

    def send(self, host: Served, page: str, **values: str) -> tuple[int, str, bytes]:
        """A form that was got at the same address, perhaps from another host."""
        sent = urlencode({**values, "csrfmiddlewaretoken": self.cookies["csrftoken"]}).encode()
        return self.ask(host, page, sent, "application/x-www-form-urlencoded")

    def upload(self, host: Served, page: str, content: bytes) -> tuple[int, str, bytes]:
        line = uuid.uuid4().hex
        token = self.cookies["csrftoken"].encode()
        parts = [
            b'name="csrfmiddlewaretoken"\r\n\r\n' + token, b'name="alt"\r\n\r\nGrey',
            b'name="file"; filename="x.png"\r\nContent-Type: image/png\r\n\r\n' + content,
        ]  # fmt: skip
        body = b"".join(
            b"--" + line.encode() + b"\r\nContent-Disposition: form-data; " + part + b"\r\n" for part in parts
        )
        return self.ask(host, page, body + b"--" + line.encode() + b"--\r\n", f"multipart/form-data; boundary={line}")

    def sign_in(self, host: Served, password: str = PASSWORD) -> int:
        self.ask(host, "/sign-in/")
        return self.send(host, "/sign-in/", username="olive", password=password)[0]


def environment() -> dict[str, str]:
    """What both hosts are told: the test's own database, and what several hosts must have in common."""
    told = {
        "HANGAR_SECRET_KEY": "one key for all hosts, of no use elsewhere: 0123456789abcdefghij",
        "HANGAR_BASE_URL": "https://hangar.example", "HANGAR_HTTPS": "0",
    }  # fmt: skip
    settings = connection.settings_dict
    if connection.vendor == "sqlite":
        return {**told, "DJANGO_SETTINGS_MODULE": "tests.hangar.one_database", "TEST_SQLITE": str(settings["NAME"])}
    where = f"{quote(settings['HOST'], safe='')}:{settings['PORT']}".removesuffix(":")
    password = f":{quote(settings['PASSWORD'], safe='')}" if settings["PASSWORD"] else ""
    return {**told, "DATABASE_URL": f"postgres://{settings['USER']}{password}@{where}/{settings['NAME']}"}


@pytest.fixture
def airframe(transactional_db: None) -> Airframe:
    olive = Member.objects.create_user("olive", full_name="Olive Owner")
    # The tests' own hash is quick, and unknown to the hosts.
    hasher = PBKDF2PasswordHasher()
    Member.objects.filter(pk=olive.pk).update(password=hasher.encode(PASSWORD, hasher.salt(), iterations=1000))
    airframe = Airframe.objects.create(slug="big-glider", name="Big Glider", owner=olive, status="airworthy")
    record_first(airframe, make_setup())
    return airframe


@pytest.fixture
def shared() -> bool:
    return True


@pytest.fixture
def hosts(airframe: Airframe, tmp_path: Path, shared: bool) -> Iterator[tuple[Served, Served]]:
    told = environment()
    if shared:
        told |= {"HANGAR_STORAGE": "tests.hangar.shared_storage.SharedStorage", "TEST_SHARED": str(tmp_path / "shared")}
    connection.close()
    with ExitStack() as both:
        for name in HOSTS:
            (tmp_path / name).mkdir()
        one, other = (both.enter_context(served(tmp_path / name, **told)) for name in HOSTS)
        yield one, other


def test_what_is_begun_at_one_goes_on_at_the_other(hosts: tuple[Served, Served], tmp_path: Path) -> None:
    one, other = hosts
    browser = Browser()
    assert browser.sign_in(one) == 302
    status, _, page = browser.ask(other, "/airframes/big-glider/")
    assert (status, b"Big Glider" in page) == (200, True)
    edits_and_records(browser, one, other)
    prints_many(browser, one, other)
    keeps_a_sheet(browser, one, other, tmp_path)
    shows_a_photo(browser, one, other)
    assert browser.send(other, "/sign-out/")[0] == 302
    assert browser.ask(one, "/")[1].startswith("/sign-in/"), "signed out at one is signed out"
    counts_wrong_passwords_together(one, other)


def edits_and_records(browser: Browser, one: Served, other: Served) -> None:
    page = "/airframes/big-glider/draft/"
    sent = {"base": "1", "version": "0", "remarks": "begun at one"}
    assert browser.send(one, f"{page}one/remarks/", **sent)[0] == 302
    assert b"begun at one" in browser.ask(other, f"{page}one/remarks/")[2]
    # A form that another tab left stale at the other host is refused there, as on one host.
    assert b"begun at one" not in browser.ask(other, "/airframes/big-glider/history/")[2]
    assert browser.send(other, f"{page}one/remarks/", **{**sent, "remarks": "stale"})[0] in (200, 409)
    (version,) = set(re.findall(rb'name="version" value="(\d+)"', browser.ask(other, page)[2]))
    sent = {"do": "record", "reason": "recorded at the other", "base": "1", "version": version.decode()}
    assert browser.send(other, page, **sent)[0] == 302
    assert b"recorded at the other" in browser.ask(one, "/airframes/big-glider/history/")[2]
    assert Revision.objects.get(number=2).setup.remarks == "begun at one"


def prints_many(browser: Browser, one: Served, other: Served) -> None:
    status, batch, _ = browser.send(one, "/sheets/", which="all", paper="a4")
    assert status == 302
    for _ in range(20):
        browser.send(other, f"{batch}on/")
        status, _, content = browser.ask(other, f"{batch}sheets.pdf")
        if status == 200:
            break
    assert (status, content[:5]) == (200, b"%PDF-")
    assert browser.ask(one, f"{batch}sheets.pdf")[2] == content


def keeps_a_sheet(browser: Browser, one: Served, other: Served, tmp_path: Path) -> None:
    """Kept in the folder of the host that made it; the other makes the same anew."""
    page = "/airframes/big-glider/revisions/1/sheet.pdf"
    digests = {hashlib.sha256(browser.ask(host, page)[2]).hexdigest() for host in (one, other, one)}
    assert len(digests) == 1
    kept = [{path.name for path in (tmp_path / name / "data" / "sheets").rglob("*.pdf")} for name in HOSTS]
    assert kept[0] & kept[1], "each has its own"
    for name in HOSTS:
        assert set(os.listdir(tmp_path / name / "data")) == {"sheets"}, "neither a database nor a secret of its own"


def picture() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (8, 6)).save(file, "PNG")
    return file.getvalue()


def photo_address(browser: Browser, host: Served) -> str:
    page = browser.ask(host, "/airframes/big-glider/")[2].decode()
    found: list[str] = re.findall(r'src="(/airframes/big-glider/photo/[^"]+)"', page)
    return found[0]


def shows_a_photo(browser: Browser, one: Served, other: Served) -> None:
    assert browser.upload(one, "/airframes/big-glider/photo/", picture())[0] == 302
    status, _, content = browser.ask(other, photo_address(browser, other))
    assert (status, content[:2]) == (200, b"\xff\xd8")


def counts_wrong_passwords_together(one: Served, other: Served) -> None:
    assert [Browser().sign_in(host, "guess") for host in (one, other, one, other, one)] == [200, 200, 200, 200, 429]
    assert Browser().sign_in(other) == 429


@pytest.mark.parametrize("shared", [False])
def test_without_a_storage_that_all_reach_photos_alone_are_missing(hosts: tuple[Served, Served]) -> None:
    one, other = hosts
    browser = Browser()
    assert browser.sign_in(one) == 302
    assert browser.upload(one, "/airframes/big-glider/photo/", picture())[0] == 302
    address = photo_address(browser, other)
    assert browser.ask(one, address)[0] == 200
    assert browser.ask(other, address)[0] == 404
    assert browser.ask(other, "/airframes/big-glider/revisions/1/sheet.pdf")[0] == 200
