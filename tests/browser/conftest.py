"""A browser the size of a phone, a club in the database, and a member who signs in with a password."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, Page, expect

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from mixing import Setup
from tests.factories import AirframeFactory, record_first

GLIDER = Path(__file__).parents[1] / "mixing" / "data" / "electric_glider.json"
PASSWORD = "three dry socks"


@pytest.fixture(scope="session", autouse=True)
def _fast_passwords() -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


# What is awaited may take its time where others share the machine; whoever waits goes on as soon as it is there.
PATIENCE_MS = 60_000


@pytest.fixture(scope="session", autouse=True)
def _patience() -> None:
    expect.set_options(timeout=PATIENCE_MS)


# A finger that is quicker than the scripts is served by the server; who checks what scripts do must come after them.
# Until all of a page is there nothing on it is to be seen, so that every step of a test waits for it.
_SEEN_WHEN_WHOLE = """
const veil = new CSSStyleSheet();
veil.replaceSync("html { visibility: hidden }");
document.adoptedStyleSheets = [veil];
window.addEventListener("load", () => { document.adoptedStyleSheets = [] });
"""


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_context_args, "viewport": {"width": 360, "height": 740}, "has_touch": True}


@pytest.fixture
def context(context: BrowserContext) -> BrowserContext:
    context.set_default_timeout(PATIENCE_MS)
    context.add_init_script(_SEEN_WHEN_WHOLE)
    return context


@pytest.fixture
def nora(transactional_db: None) -> Member:
    return Member.objects.create_user("nora", PASSWORD, full_name="Nora New")


@pytest.fixture
def airframe(nora: Member) -> Airframe:
    return AirframeFactory.create(slug="big-glider", name="Big Glider", owner=nora)


@pytest.fixture
def glider(airframe: Airframe) -> Revision:
    return record_first(airframe, Setup.from_text(GLIDER.read_bytes()))


@pytest.fixture
def signed_in(page: Page, live_server: Any, nora: Member) -> Page:
    """The line-up, after signing in through the page."""
    sign_in(page, live_server.url)
    page.get_by_role("heading", name="Line-up").wait_for()
    return page


def sign_in(page: Page, address: str, login: str = "nora") -> None:
    """Signed in when this returns: who asked for the next page at once might come before the answer."""
    page.goto(address)
    page.get_by_label("Login").fill(login)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.locator("form.who").wait_for()


@contextmanager
def next_page(page: Page) -> Iterator[None]:
    """What is done inside leads to another page, which is there when this is left.

    Only where nothing else tells the next page from this one: a click need not wait for what it leads to.
    """
    with page.expect_navigation(timeout=PATIENCE_MS):
        yield


def new_page(browser: Browser, **screen: Any) -> Page:
    """A page of a browser of its own, that knows nobody yet."""
    context = browser.new_context(**screen)
    context.set_default_timeout(PATIENCE_MS)
    if screen.get("java_script_enabled", True):
        context.add_init_script(_SEEN_WHEN_WHOLE)
    return context.new_page()


def fits(page: Page) -> bool:
    """Whether nothing hangs over the right edge of the screen."""
    page.wait_for_load_state("load")
    return bool(page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"))
