"""What every test shares: how hypothesis searches, and how the browser tests start their browser."""

import os
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest
from django.conf import settings
from django.db import connections
from django.utils import timezone

from hangar.bootstrap import system
from tests import midnight
from tests.factories import restart_numbers
from tests.flushing import flush_allowed
from tests.once_more import once_more, uses_browser

# The same examples on every run, and no deadline: a slow machine is not a bug.
hypothesis.settings.register_profile("ci", deadline=None, derandomize=True)
# For a long search by hand: pytest --hypothesis-profile=search
hypothesis.settings.register_profile("search", deadline=None, max_examples=2000)
hypothesis.settings.load_profile("ci")

_HANGAR = Path(__file__).parent / "hangar"

# What a browser does on its own account: updates, reports, look-ups. The tests must neither wait for it nor see it.
_QUIET = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-domain-reliability",
    "--disable-sync",
    "--metrics-recording-only",
    "--no-default-browser-check",
    "--no-first-run",
    "--no-pings",
)
# A sandbox cannot be set up by root, and /dev/shm is small in containers.
_AS_ROOT = ("--no-sandbox", "--disable-dev-shm-usage")


@pytest.fixture(scope="session", autouse=True)
def _data_folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What the site writes in a test goes to a folder of this run, whoever starts pytest."""
    settings.HANGAR_DATA = tmp_path_factory.mktemp("hangar-data")
    settings.MEDIA_ROOT = settings.HANGAR_DATA / "media"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    tmp_path_factory: pytest.TempPathFactory, django_db_modify_db_settings_parallel_suffix: None
) -> None:
    """Two runs at once in one checkout must not share a database file. (On PostgreSQL each run has its own server,
    and each of its processes a name with its number.)
    """
    database = connections["default"].settings_dict
    if database["ENGINE"] == "django.db.backends.sqlite3":
        database["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")


@pytest.fixture(scope="session", autouse=True)
def _history_flushed() -> Iterator[None]:
    """After a test with real transactions the database is emptied, although it refuses to delete its history."""
    with flush_allowed():
        yield


@pytest.fixture(autouse=True)
def _numbers_begin_anew() -> Iterator[None]:
    """What factories number, a test numbers alike whatever ran before it in this process: no page says "R99" by chance.

    From 500, away from what is numbered by hand, and from what is made for all tests of a file, which begins at 0.
    """
    restart_numbers(500)
    yield
    restart_numbers(0)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, object]) -> dict[str, object]:
    """Start the system's Chromium; playwright's own download is not there."""
    arguments = [*_QUIET, *(_AS_ROOT if os.geteuid() == 0 else ())]
    return {**browser_type_launch_args, "executable_path": system.chromium(), "args": arguments}


@pytest.hookimpl(tryfirst=True)
def pytest_itemcollected(item: pytest.Item) -> None:
    """Tests of operations and commands lie directly in tests/hangar, and ask the database more than its pages do.

    A test of a page whose query may answer differently on another database carries the mark itself.
    """
    asks = {"db", "transactional_db", "django_db_setup"} & set(getattr(item, "fixturenames", ()))
    if item.path.parent == _HANGAR and (asks or item.get_closest_marker("django_db")):
        item.add_marker("database")
    once_more(item)


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests last: see below."""
    items.sort(key=uses_browser)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Begin no test right before midnight, and let browser tests use the database.

    Playwright keeps an event loop in this thread from its first test to the end of the run, and in such a thread Django
    refuses the database. Only the tests with a browser, which come last, go without that guard.
    """
    midnight.pass_by(timezone.localtime())
    if uses_browser(item):
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
