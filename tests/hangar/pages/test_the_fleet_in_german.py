"""The pages of the fleet in German, with lengths in inches."""

from typing import Any

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, error_at, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Member:
    return Member.objects.create_user("olive", full_name="Olive Owner", language="de", length_unit="inch")


def facts(**changed: Any) -> dict[str, Any]:
    return {"name": "Milan", "span_mm": "141,732", "status": "airworthy", **changed}


def test_the_span_is_shown_and_typed_in_inches_and_stays_what_it_is(owner: Member, sign_in: SignIn) -> None:
    airframe: Airframe = AirframeFactory.create(name="Milan", owner=owner, span_mm=3600)
    browser, page = sign_in(owner), reverse("fleet:edit_airframe", args=[airframe.slug])
    text = browser.get(page).content.decode()
    assert 'value="141,732"' in text
    assert "Spannweite, in" in text
    browser.post(page, facts())
    airframe.refresh_from_db()
    assert airframe.span_mm == 3600
    browser.post(page, facts(span_mm="100"))
    airframe.refresh_from_db()
    # 100 international inches of 25.4 mm.
    assert airframe.span_mm == 2540
    browser.post(page, facts(span_mm="2001 mm"))
    airframe.refresh_from_db()
    assert airframe.span_mm == 2001
    refused = browser.post(page, facts(span_mm="weit"))
    assert error_at(refused, "span_mm") == "„weit“ ist keine Zahl; gib eine ein, etwa 12 oder −7,5."


def test_what_is_there_already_is_told_in_german(owner: Member, sign_in: SignIn) -> None:
    TransmitterFactory.create(label="Grauer Koffer")
    page = reverse("fleet:new_transmitter")
    browser = sign_in(owner)
    shown = browser.get(page).context["form"]
    typed = {name: shown[name].value() for name in shown.fields if name != "curve_free_x"}
    refused = browser.post(page, {**typed, "label": "Grauer Koffer", "step_pct": "0,5"})
    assert (
        error_at(refused, "label") == "Einen Sender „Grauer Koffer“ gibt es schon; gib diesem eine andere Bezeichnung."
    )


def test_lists_and_choices(owner: Member, sign_in: SignIn) -> None:
    ReceiverFactory.create(label="R7", status="retired")
    TransmitterFactory.create(owner=None)
    browser = sign_in(owner)
    assert "ausgemustert" in words(browser.get(reverse("fleet:receivers")))
    told = words(browser.get(reverse("fleet:transmitters")))
    assert "der Verein" in told
    assert "ungeprüft" in told
