"""The empty database that a second demo begins with: put only where there is none, kept once, one for each version."""

import sqlite3
from pathlib import Path
from typing import Any

import pytest
from django.db import connections

from hangar.demo import blank

pytestmark = pytest.mark.django_db
SQLITE = {"ENGINE": "django.db.backends.sqlite3", "ATOMIC_REQUESTS": False, "AUTOCOMMIT": True, "CONN_MAX_AGE": 0,
          "CONN_HEALTH_CHECKS": False, "OPTIONS": {}, "TIME_ZONE": None}  # fmt: skip


@pytest.fixture
def database(tmp_path: Path) -> Any:
    """A database of its own that is not there yet."""
    from django.db.backends.sqlite3.base import DatabaseWrapper

    found = DatabaseWrapper({**connections.settings["default"], **SQLITE, "NAME": str(tmp_path / "club.sqlite3")})
    yield found
    found.close()


def tables(path: Path) -> list[str]:
    with sqlite3.connect(path) as read:
        return [name for (name,) in read.execute("SELECT name FROM sqlite_master ORDER BY name")]


def test_the_first_start_keeps_what_the_second_begins_with(database: Any, tmp_path: Path) -> None:
    packages = tmp_path / "packages"
    packages.mkdir()
    (packages / "hangar-empty-of-before.sqlite3").touch()
    assert blank.put_blank(database, packages)
    assert not Path(database.settings_dict["NAME"]).exists(), "there was nothing to begin with"
    with database.cursor() as cursor:
        cursor.execute("CREATE TABLE airframe (id integer)")
    blank.keep_blank(database, packages)
    database.close()
    [kept] = packages.glob("hangar-empty-*.sqlite3")
    assert kept == blank.kept_at(packages)
    Path(database.settings_dict["NAME"]).unlink()
    assert blank.put_blank(database, packages)
    assert tables(Path(database.settings_dict["NAME"])) == ["airframe"]
    assert Path(database.settings_dict["NAME"]).stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir() if one.is_dir()] == ["packages"], "nothing else is left lying about"


def test_what_is_there_stays_and_is_not_kept(database: Any, tmp_path: Path) -> None:
    kept = blank.kept_at(tmp_path)
    assert kept is not None
    sqlite3.connect(kept).close()
    with database.cursor() as cursor:
        cursor.execute("CREATE TABLE club (id integer)")
    assert not blank.put_blank(database, tmp_path)
    assert tables(Path(database.settings_dict["NAME"])) == ["club"]


def test_other_migrations_have_another_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = blank.kept_at(tmp_path)
    other = tmp_path / "triggers.py"
    other.write_text("other")
    monkeypatch.setattr("hangar.setups.triggers.__file__", str(other))
    assert blank.kept_at(tmp_path) != before


def test_where_nothing_can_be_kept_a_start_only_takes_longer(database: Any, tmp_path: Path) -> None:
    with database.cursor() as cursor:
        cursor.execute("CREATE TABLE club (id integer)")
    blank.keep_blank(database, tmp_path / "no such folder")


def test_outside_a_venv_nothing_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.prefix", "/usr")
    monkeypatch.setattr("sys.base_prefix", "/usr")
    assert blank.kept_at() is None
