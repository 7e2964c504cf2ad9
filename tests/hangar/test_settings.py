"""What the settings promise: headers, sign-in for everything, static files, the secret key, the database."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client, RequestFactory

from hangar.members.addresses import client_address
from hangar.members.models import Member
from hangar.secret import kept_secret
from tests.patience import PATIENCE_S

TOP = Path(__file__).parents[2]
plain = pytest.mark.urls("tests.hangar.plain_urls")


def settings_with(data: Path, *names: str, **environment: str) -> dict[str, Any]:
    """What some settings are in a process of its own with this environment."""
    found: dict[str, Any] = printed(
        data,
        "import json; from hangar import settings as s; "
        f"print(json.dumps({{n: getattr(s, n, None) for n in {names!r}}}, default=str))",
        **environment,
    )
    return found


def printed(data: Path, program: str, **environment: str) -> Any:
    """The JSON that a program prints in a process of its own with this environment."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}
    ended = subprocess.run(
        [sys.executable, "-c", program],
        cwd=TOP,
        env={**kept, "HANGAR_DATA": str(data), **environment},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=True,
    )
    return json.loads(ended.stdout)


@plain
def test_everything_needs_a_login_unless_it_says_otherwise(client: Client, owner: Member) -> None:
    assert client.get("/public").content == b"public"
    answer = client.get("/private")
    assert (answer.status_code, answer["Location"]) == (302, "/members/sign-in?next=/private")
    client.force_login(owner)
    assert client.get("/private").content == b"for Olive Owner"


@plain
def test_headers(client: Client, owner: Member) -> None:
    headers = client.get("/public").headers
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'self'"
    assert policy["img-src"] == "'self' data:"
    assert policy["object-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert not re.search(r"unsafe|http:|https:|\*", headers["Content-Security-Policy"])
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]
    assert "Strict-Transport-Security" not in headers, "nothing promises HTTPS where there is none"
    assert headers["Cache-Control"] == "private, no-cache"
    client.force_login(owner)
    assert client.get("/private")["Cache-Control"] == "private, no-cache"


@pytest.mark.parametrize(
    ("status", "address", "sent"),
    [
        (400, "/", {"HTTP_HOST": "evil.example"}),
        (404, "/no-such-page/", {}),
        (413, "/", {"CONTENT_LENGTH": "99999999999"}),
        (302, "/", {}),
        (405, "/health", {}),
        (200, "/static/base.css", {}),
    ],
)
@pytest.mark.django_db
def test_headers_of_whatever_is_answered_to_a_stranger(
    client: Client, status: int, address: str, sent: dict[str, Any]
) -> None:
    ask: Any = client.post if status in (405, 413) else client.get
    answer = ask(address, **sent)
    answer.close()
    assert answer.status_code == status
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'self'" in answer["Content-Security-Policy"]
    assert answer["Cross-Origin-Resource-Policy"] == "same-origin"
    assert answer["Cache-Control"] == "max-age=60, public" if status == 200 else "private" in answer["Cache-Control"]


@plain
def test_a_host_that_is_not_ours_is_refused(client: Client) -> None:
    assert client.get("/public", headers={"host": "evil.example"}).status_code == 400


def test_by_default_only_this_machine_and_no_debug_pages(tmp_path: Path) -> None:
    found = settings_with(tmp_path, "DEBUG", "ALLOWED_HOSTS", "SESSION_COOKIE_SECURE", "DATABASES", "HANGAR_PROXIES")
    assert found["DEBUG"] is False
    assert found["ALLOWED_HOSTS"] == ["localhost", "127.0.0.1", "[::1]"]
    assert found["SESSION_COOKIE_SECURE"] is None
    assert found["DATABASES"]["default"]["NAME"] == str(tmp_path / "hangar.sqlite3")
    assert found["HANGAR_PROXIES"] == 0


def test_behind_https(tmp_path: Path) -> None:
    names = ("SECURE_SSL_REDIRECT", "SECURE_HSTS_SECONDS", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE")
    found = settings_with(
        tmp_path, *names, "ALLOWED_HOSTS", "HANGAR_PROXIES", HANGAR_HTTPS="1", HANGAR_HOSTS=" hangar.example ,"
    )
    assert found["SECURE_HSTS_SECONDS"] == 365 * 24 * 3600
    assert all(found[name] for name in names)
    assert found["ALLOWED_HOSTS"] == ["hangar.example"]
    assert found["HANGAR_PROXIES"] == 1


def test_postgresql_by_its_address(tmp_path: Path) -> None:
    database = settings_with(tmp_path, "DATABASES", DATABASE_URL="postgres://u:p@db.example:5433/hangar")["DATABASES"]
    assert database["default"]["ENGINE"] == "django.db.backends.postgresql"
    assert (database["default"]["HOST"], database["default"]["PORT"]) == ("db.example", 5433)
    assert "init_command" not in str(database)


def test_the_secret_key_is_made_once_and_kept_for_the_owner_only(tmp_path: Path) -> None:
    first = settings_with(tmp_path / "data", "SECRET_KEY")["SECRET_KEY"]
    assert len(first) >= 50
    assert settings_with(tmp_path / "data", "SECRET_KEY")["SECRET_KEY"] == first
    assert (tmp_path / "data" / "secret_key").stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "data").stat().st_mode & 0o777 == 0o700
    assert settings_with(tmp_path / "other", "SECRET_KEY", HANGAR_SECRET_KEY="given")["SECRET_KEY"] == "given"
    assert not (tmp_path / "other" / "secret_key").exists()


def test_a_secret_that_another_worker_made_first_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "secret_key"
    monkeypatch.setattr(Path, "exists", lambda self: False)
    path.write_text("theirs")
    assert kept_secret(path) == "theirs"
    assert [one.name for one in tmp_path.iterdir()] == ["secret_key"]


def test_a_secret_that_was_cut_off_is_made_anew(tmp_path: Path) -> None:
    """The machine went down before it was on the disk; and somebody else's half of one lies about."""
    path = tmp_path / "secret_key"
    path.write_text("")
    (tmp_path / f"secret_key.{os.getpid()}").write_text("half")
    assert len(kept_secret(path)) >= 50
    assert kept_secret(path) == path.read_text()
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["secret_key"]


@pytest.mark.django_db
def test_sqlite_waits_its_turn_and_keeps_foreign_keys() -> None:
    """The measured settings: readers go on while one writes, and a writer waits instead of failing."""
    if connection.vendor == "sqlite":
        asked = {"journal_mode": "wal", "synchronous": 1, "foreign_keys": 1, "busy_timeout": 20000}
        with connection.cursor() as cursor:
            found = {name: cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in asked}
        assert found == asked
        assert settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] == "IMMEDIATE"


@pytest.mark.parametrize(
    ("proxies", "forwarded", "expected"),
    [
        (0, "6.6.6.6", "127.0.0.1"),
        (1, "6.6.6.6, 10.1.1.1", "10.1.1.1"),
        (2, "6.6.6.6, 10.1.1.1, 10.2.2.2", "10.1.1.1"),
        (1, "", "127.0.0.1"),
        (1, "10.1.1.1:5432", "10.1.1.1"),
        (1, "[2001:db8:1:2:3::4]:5432", "2001:db8:1:2::"),
        (1, "2001:db8:1:2:3::4", "2001:db8:1:2::"),
        (1, "::ffff:10.1.1.1", "10.1.1.1"),
        (1, "unknown", None),
    ],
)
def test_an_address_that_anyone_can_send_is_not_believed(
    monkeypatch: pytest.MonkeyPatch, proxies: int, forwarded: str, expected: str | None
) -> None:
    monkeypatch.setattr(settings, "HANGAR_PROXIES", proxies)
    headers = {"x-forwarded-for": forwarded} if forwarded else {}
    assert client_address(RequestFactory().get("/", headers=headers)) == expected


@plain
@pytest.mark.django_db
def test_static_files_are_served_without_being_collected(client: Client) -> None:
    """By WhiteNoise, from where they lie, with DEBUG off."""
    assert not settings.DEBUG
    answer = client.get("/static/fonts/SourceSansPro-Regular.ttf")
    assert answer.status_code == 200
    assert int(answer["Content-Length"]) > 100_000
    assert "Access-Control-Allow-Origin" not in answer
    answer.close()
    assert client.get("/static/fonts/../__init__.py").status_code == 404


def test_the_computation_is_told_to_keep_to_one_thread_before_it_comes_in(tmp_path: Path) -> None:
    """Of its own number of threads numpy makes up its mind when it is loaded: too late for what is said afterwards."""
    program = (
        "import json, os, sys; import hangar.settings; "
        "print(json.dumps([os.environ.get('OPENBLAS_NUM_THREADS'), 'numpy' in sys.modules]))"
    )
    assert printed(tmp_path, program, OPENBLAS_NUM_THREADS="7") == ["7", False]
    assert printed(tmp_path, f"import os; os.environ.pop('OPENBLAS_NUM_THREADS', None); {program}") == ["1", False]
