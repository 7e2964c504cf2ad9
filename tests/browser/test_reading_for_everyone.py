"""Every page is read by axe, on a phone by day and on a desk by night: contrast, labels, headings, order."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from hangar.flights.operations import ground, log_flight
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from tests.browser.conftest import fits, new_page, sign_in
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory

pytestmark = pytest.mark.django_db(transaction=True)

PAGES = [
    "/", "/receivers/", "/transmitters/", "/airframes/new/", "/airframes/bare/", "/airframes/bare/start/",
    "/help/", "/transmitters/new/", "/no/such/page/",
    *(
        f"/airframes/big-glider/{page}"
        for page in (
            "", "history/", "compare/", "revisions/1/", "roll-back/", "flights/new/", "ground/", "details/", "people/",
            "receiver/", "check/", "entered/", "import/", "draft/", "draft/throws/",
            "draft/throws/coupling/?control=lever&channel=6&phase=", "draft/channels/", "draft/channels/0/",
            "draft/surfaces/", "draft/surfaces/0/", "draft/surfaces/0/linkage/", "linkages/",
            "measured/", "bench/", "bench/?at_roll=100&at_lever=-100",
            "draft/surfaces/2/linkage/?up_mm=12&down_mm=8&pivot_d_mm=70&pivot_e_mm=4&arm_holes=8&horn_holes=8+to+25"
            "&most_pct=100", "draft/controls/3/", "draft/phases/1/", "draft/devices/0/",
            "draft/one/balance/", "draft/one/signal/", "draft/one/remarks/",
        )
    ),
]  # fmt: skip


@pytest.fixture
def second(glider: Revision, nora: Member) -> Revision:
    """A second revision, flown and rejected, of a model that is grounded."""
    couplings = [coupling.model_dump() for coupling in glider.setup.couplings]
    couplings[5]["stations"] = [[-100, -30], [0, 0], [100, 0]]
    setup = glider.setup.changed(couplings=couplings)
    made = record(user=nora, airframe=glider.airframe, setup=setup, base=glider, reason="another brake").revision
    log_flight(
        user=nora,
        revision=glider,
        flown_on=made.recorded_at.date(),
        pilot=nora,
        load="small",
        verdict="reject",
        reason="no",
    )
    ground(user=nora, airframe=glider.airframe, reason="crack at the root")
    AirframeFactory.create(slug="bare", name="Bare Bones", owner=nora)
    ReceiverFactory.create()
    TransmitterFactory.create(owner=nora)
    return made


def complaints(page: Page) -> list[str]:
    """What axe objects to, in a line each; and whether something hangs over the edge."""
    found = Axe().run(page).response["violations"]
    told = [f"{page.url}: {one['id']} at {one['nodes'][0]['target']}: {one['help']}" for one in found]
    return told if fits(page) else [*told, f"{page.url}: wider than the screen"]


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_pages(second: Revision, browser: Browser, live_server: Any, width: int, scheme: Any) -> None:
    page = new_page(browser, viewport={"width": width, "height": 800}, color_scheme=scheme)
    page.goto(live_server.url)
    found = complaints(page)
    sign_in(page, live_server.url)
    for address in PAGES:
        page.goto(live_server.url + address)
        found += complaints(page)
    page.context.close()
    assert found == [], "\n".join(found)


HANGING_OVER = """() => [...document.querySelectorAll("main *, header *, footer *")].filter((one) => {
  const box = one.getBoundingClientRect();
  const scrolls = one.closest(".table-wrap, .visually-hidden, svg, option");
  return box.width > 1 && box.height > 1 && !scrolls && (box.right > window.innerWidth + 1 || box.left < -1);
}).map((one) => `${one.tagName} ${one.className}: ${one.textContent.trim().slice(0, 40)}`)"""


def test_long_german_words_stay_on_a_phone(second: Revision, browser: Browser, live_server: Any, nora: Member) -> None:
    """Labels without a place to break, and the longer of the two languages and units."""
    long = {part: [{**one, "label": f"{one['label']} (Wurzelrippenübergangsbeimischung)"} for one in parts]
            for part, parts in second.setup.data().items() if part in ("controls", "surfaces")}  # fmt: skip
    airframe = second.airframe
    record(user=nora, airframe=airframe, setup=second.setup.changed(**long), base=second, reason="Schwerpunktlage")
    type(airframe).objects.filter(pk=airframe.pk).update(name="Hangaufwindkunstflugschulungsmodell mit Elektroantrieb")
    Member.objects.filter(pk=nora.pk).update(language="de", length_unit="inch")
    page = new_page(browser, viewport={"width": 360, "height": 740})
    sign_in(page, live_server.url)
    found = []
    for address in (
        *PAGES,
        "/airframes/big-glider/revisions/3/dial-in/",
        "/airframes/big-glider/revisions/3/change-card/",
    ):
        page.goto(live_server.url + address)
        told = page.evaluate(HANGING_OVER)
        found += [f"{address}: {one}" for one in told] + ([] if fits(page) else [f"{address}: wider than the screen"])
    page.context.close()
    assert found == [], "\n".join(found)
