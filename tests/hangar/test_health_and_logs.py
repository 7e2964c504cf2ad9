"""What a supervisor asks, and what the site writes down: enough to find a fault, and nobody's name."""

import io
import json
import logging
from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.keeping import health
from hangar.logs import JsonFormatter
from hangar.members.models import Member
from tests.flushing import triggers_lifted


def test_alive_asks_nothing_of_the_database(client: Client, django_assert_num_queries: Any, db: None) -> None:
    with django_assert_num_queries(0):
        answer = client.get("/health")
    assert (answer.status_code, answer.json()) == (200, {"status": "alive"})
    assert "no-store" in answer["Cache-Control"]
    assert client.post("/health").status_code == 405


def test_ready(client: Client, db: None) -> None:
    answer = client.get("/ready")
    assert (answer.status_code, answer.json()) == (200, {"status": "ready"})


def test_not_ready_without_the_triggers(client: Client, db: None) -> None:
    with triggers_lifted():
        answer = client.get("/ready")
    assert (answer.status_code, answer.json()) == (503, {"status": "history is not protected"})


def test_not_ready_with_old_tables(client: Client, db: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'keeping'")
    answer = client.get("/ready")
    assert (answer.status_code, answer.json()) == (503, {"status": "tables are not up to date"})


def test_not_ready_without_a_database(client: Client, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(*_: object) -> None:
        raise OperationalError("could not connect to server at 10.1.2.3")

    monkeypatch.setattr(health, "MigrationExecutor", gone)
    answer = client.get("/ready")
    assert (answer.status_code, answer.json()) == (503, {"status": "no database"})


def written_while(act: Callable[[], object]) -> list[dict[str, Any]]:
    """Every line that is written while `act` runs."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonFormatter())
    loggers = [logging.getLogger(name) for name in ("hangar", "django", "axes")]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.addHandler(handler)
        logger.setLevel(logging.INFO)
    try:
        act()
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.removeHandler(handler)
            logger.setLevel(level)
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_request_is_one_line_that_names_the_route(client: Client, owner: Member, airframe: Airframe) -> None:
    client.force_login(owner)
    page = reverse("flights:airframe", args=[airframe.slug])
    (line,) = written_while(lambda: client.get(page, {"search": "Olive Owner"}, REMOTE_ADDR="192.0.2.7"))
    assert line["route"] == "airframes/<slug:slug>/"
    assert (line["method"], line["status"], line["level"]) == ("GET", 200, "info")
    assert line["ms"] > 0
    assert line["bytes"] > 1000


def test_nothing_written_names_anyone(owner: Member, airframe: Airframe, monkeypatch: pytest.MonkeyPatch) -> None:
    browser = Client(raise_request_exception=False, REMOTE_ADDR="192.0.2.7")

    def visit() -> None:
        browser.post(reverse("members:sign_in"), {"username": "owner", "password": "wrong-password"})
        browser.get("/no/such/page/olive-owner-secret-token")
        browser.force_login(owner)
        browser.get(reverse("flights:airframe", args=["big-glider"]))
        browser.post(reverse("fleet:new_transmitter"), {"label": "Olive Owner"})
        browser.get("/", headers={"host": "olive.example"})
        monkeypatch.setattr("hangar.fleet.transmitter_views.TransmitterForm", broken)
        browser.post(reverse("fleet:new_transmitter"), {"label": "Olive Owner"})

    def broken(*args: object, **kwargs: object) -> None:
        raise ValueError("Key (login)=(owner) of Olive Owner already exists")

    lines = written_while(visit)
    fault = next(line for line in lines if line["logger"] == "django.request" and "error" in line)
    assert (fault["error"], fault["message"]) == ("ValueError", "answered 500 at transmitters/new/")
    assert fault["places"][-1].endswith(" broken")
    text = json.dumps(lines).lower()
    assert len(lines) > 7
    for told in ("olive", "owner", "wrong-password", "192.0.2.7", "big-glider", "secret-token"):
        assert told not in text, told


def test_the_settings_write_json_to_the_standard_error() -> None:
    logging_settings: Any = settings.LOGGING
    assert logging_settings["handlers"]["stderr"]["formatter"] == "json"
    assert settings.MIDDLEWARE[0] == "hangar.logs.RequestLogMiddleware"
    for name in ("django", "hangar", "axes"):
        assert logging_settings["loggers"][name]["propagate"] is False
