"""With the settings documented for a site that others reach, Django's own check is content, and HTTPS is kept to."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.patience import PATIENCE_S

TOP = Path(__file__).parents[2]
DOCUMENTED = {"HANGAR_HTTPS": "1", "HANGAR_HOSTS": "hangar.example"}

ASK = """
import json, logging, django
django.setup()
logging.disable()
from django.test import Client
found = []
for headers in json.loads(input()):
    answer = Client(headers=headers).get("/sign-in/")
    found.append([answer.status_code, dict(answer.headers), {k: v.OutputString() for k, v in answer.cookies.items()}])
print(json.dumps(found))
"""


def run(data: Path, *arguments: str, sent: str = "", **environment: str) -> "subprocess.CompletedProcess[str]":
    """A process of its own with this environment and nothing else of the site's in it."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE", "DJANGO"))}
    fixed = {"HANGAR_BOOTSTRAP": "0", "HANGAR_DATA": str(data), "DJANGO_SETTINGS_MODULE": "hangar.settings"}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=TOP, env={**kept, **fixed, **environment}, input=sent, capture_output=True, text=True, timeout=PATIENCE_S,
        check=False,
    )  # fmt: skip


def check(data: Path, **environment: str) -> "subprocess.CompletedProcess[str]":
    return run(data, "manage.py", "check", "--deploy", "--fail-level", "WARNING", **environment)


def test_djangos_check_is_content(tmp_path: Path) -> None:
    ended = check(tmp_path, **DOCUMENTED)
    assert ended.returncode == 0, ended.stderr


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"HANGAR_DEBUG": "1"}, "security.W018"),
        ({"HANGAR_SECRET_KEY": "short"}, "security.W009"),
        ({"HANGAR_MAIL_HOST": "mail.example", "HANGAR_BASE_URL": ""}, "keeping.W002"),
    ],
)
def test_and_would_say_what_is_wrong(tmp_path: Path, changed: dict[str, str], told: str) -> None:
    ended = check(tmp_path, **{**DOCUMENTED, **changed})
    assert ended.returncode != 0
    assert told in ended.stderr


@pytest.mark.parametrize("name", ["", "secret_key"])
def test_and_who_else_could_read_the_data(tmp_path: Path, name: str) -> None:
    data = tmp_path / "data"
    assert check(data, **DOCUMENTED).returncode == 0
    (data / name).chmod(0o750 if name == "" else 0o644)
    ended = check(data, **DOCUMENTED)
    assert ended.returncode != 0
    assert f"keeping.W001) {data / name} may be read by other users" in ended.stderr


def ask(data: Path, *headers: dict[str, str], **environment: str) -> Any:
    ended = run(data, "-c", ASK, sent=json.dumps(headers), **environment)
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


def test_https_and_nothing_else(tmp_path: Path) -> None:
    (plain, moved, _), (secure, kept, cookies), (other, _, _) = ask(
        tmp_path,
        {"host": "hangar.example"},
        {"host": "hangar.example", "x-forwarded-proto": "https"},
        {"host": "evil.example", "x-forwarded-proto": "https"},
        **DOCUMENTED,
    )
    assert (plain, moved["Location"]) == (301, "https://hangar.example/sign-in/")
    assert secure == 200
    assert kept["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"
    for part in ("Secure", "HttpOnly", "SameSite=Lax"):
        assert part in cookies["csrftoken"]
    assert other == 400


def test_a_hangars_laptop_without_https(tmp_path: Path) -> None:
    """Whatever someone sends in a header, it is not taken for HTTPS, and no promise is made that cannot be kept."""
    ((status, headers, cookies),) = ask(tmp_path, {"host": "localhost", "x-forwarded-proto": "https"})
    assert status == 200
    assert "Strict-Transport-Security" not in headers
    assert "Secure" not in cookies["csrftoken"]
    assert "SameSite=Lax" in cookies["csrftoken"]
