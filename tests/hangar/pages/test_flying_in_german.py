"""Pages about flying as a German reader with inches sees them: no English left, and one line-up for two readers."""

import re
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.operations import fit
from hangar.flights import glances
from hangar.flights import operations as flights
from hangar.flights.models import BalanceCheck, Glance, Grounding
from hangar.flights.reasons import WORDS, in_words
from hangar.flights.standings import standing_of
from hangar.languages.collecting import said, translated
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.members.operations import set_preferences
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from mixing import Rig
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, words


def texts() -> list[tuple[str, str]]:
    """English texts of the pages about flying without places to fill, and what they are in German."""
    found = []
    for message in translated("flights", "de"):
        ones = message.id if isinstance(message.id, tuple | list) else [message.id]
        if all(ones) and said(message) and not any("%(" in one or "{" in one or "<" in one for one in ones):
            found.append((str(ones[0]), str(message.string)))
    return found


@pytest.fixture
def pages(glider: Revision, owner: Member, secretary: Member) -> list[str]:
    """The addresses of all pages about flying, of a model of which there is something on each."""
    airframe, setup = glider.airframe, glider.setup
    transmitter = TransmitterFactory.create(owner=owner)
    fit(user=owner, receiver=ReceiverFactory.create(channels=9), airframe=airframe)
    enter(user=owner, revision=glider, transmitter=transmitter, model_memory="07")
    load = setup.balance.loads[0].key
    kept = flights.log_flight(
        user=owner, revision=glider, flown_on=timezone.localdate(), pilot=owner, load=load, verdict="keep",
        observation="x", wind="3 m/s",
    ).flight  # fmt: skip
    flights.withdraw_flight(user=owner, flight=kept, reason="zzz")
    softer = setup.changed(remarks="x", balance=setup.balance.model_copy(update={"cg_high_mm": 105.0}))
    second = record(user=owner, airframe=airframe, setup=softer, base=glider, reason="zz").revision
    flight = flights.log_flight(
        user=owner, revision=second, flown_on=timezone.localdate(), pilot=owner, load=load, verdict="reject",
        reason="zz", condition_after="inspect",
    ).flight  # fmt: skip
    flights.record_work(user=owner, airframe=airframe, kind="rebuild", note="zz")
    flights.record_balance_check(user=owner, revision=second, load=load, cg_mm=101.6, mass_g=2100)
    throw = float(Rig(setup).at({"pitch": 100.0}).throw_mm["elevator"])
    check = flights.record_throw_check(
        user=owner, revision=second, readings=[flights.Read("elevator", {"pitch": 100.0}, throw, throw + 2.54,
                                                            play_mm=2.54)])  # fmt: skip
    grounding = flights.ground(user=owner, airframe=airframe, reason="zz")
    bought = AirframeFactory.create(slug="bought", owner=owner)
    slug = airframe.slug
    return [
        reverse("flights:line_up"), reverse("flights:take_over", args=[bought.slug]),
        *(reverse(f"flights:{name}", args=[slug]) for name in (
            "airframe", "history", "compare", "roll_back", "log_flight", "log_work", "measured", "balanced", "log",
            "ground", "release")),
        *(reverse(f"flights:{name}", args=[slug, number]) for name in ("revision", "change_card") for number in (1, 2)
          if name == "revision" or number == 2),
        *(reverse(f"flights:{name}", args=[slug, flight.pk]) for name in ("flight", "compensate", "trim_home")),
        reverse("flights:flight", args=[slug, kept.pk]), reverse("flights:throw_check", args=[slug, check.pk]),
        *(reverse("flights:withdraw", args=[slug, kind, pk])
          for kind, pk in (("flight", flight.pk), ("grounding", grounding.pk))),
    ]  # fmt: skip


def test_no_english_is_left(pages: list[str], secretary: Member, sign_in: SignIn) -> None:
    browser = sign_in(secretary)
    seen = 0
    for address in pages:
        english = browser.get(address)
        german = browser.get(address, headers={"Accept-Language": "de"})
        assert (english.status_code, german.status_code) == (200, 200), address
        here, there = words(english), words(german)
        for text, translation in texts():
            # A longer text may begin with a shorter one, and another package's word may be like one of ours.
            if len(text) > 15 and re.search(rf"(?<!\w){re.escape(text)}(?!\w)", here):
                seen += 1
                assert translation in there, f"{address}: {text!r} is not {translation!r}"
                assert text not in there, f"{address}: {text!r} in English"
    assert seen > 80


def test_lengths_are_in_the_readers_unit(pages: list[str], secretary: Member, sign_in: SignIn) -> None:
    set_preferences(user=secretary, language="de", length_unit="inch")
    browser = sign_in(secretary)
    read = next(one for one in pages if "/measured/" in one and one.split("/")[-2].isdigit())
    assert "Spiel: 0,10 in" in words(browser.get(read))
    assert "0,10 in zu wenig" in words(browser.get(read))
    log = browser.get(reverse("flights:log", args=["big-glider"]))
    assert "Schwerpunkt 4 in hinter dem Bezugspunkt" in words(log)
    balance = browser.get(reverse("flights:balanced", args=["big-glider"]))
    assert "Schwerpunkt hinter dem Bezugspunkt, in" in words(balance)
    measured = browser.get(reverse("flights:measured", args=["big-glider"]))
    assert "während das Servo hält, in Zoll." in words(measured)
    assert "bis 4,02 in hinter dem Bezugspunkt" in words(balance)


def test_a_balance_in_inches_is_kept_in_mm(pages: list[str], owner: Member, sign_in: SignIn) -> None:
    set_preferences(user=owner, language="de", length_unit="inch")
    address = reverse("flights:balanced", args=["big-glider"])
    load = Revision.objects.get(number=2).setup.balance.loads[0].key
    answer = sign_in(owner).post(address, {"load": load, "cg_mm": "3,9"})
    assert answer.status_code == 302
    assert BalanceCheck.objects.latest("pk").cg_mm == pytest.approx(99.06)


def test_the_line_up_speaks_to_each_in_their_own_language(
    pages: list[str], owner: Member, reader: Member, sign_in: SignIn
) -> None:
    """The row was worked out by whoever caused it, here in German: both read it in their own language."""
    set_preferences(user=owner, language="de")
    sign_in(owner).post(reverse("flights:ground", args=["big-glider"]), {"reason": "Riss"})
    with speaking("de"):
        glances.refresh_all()
    english = words(sign_in(reader).get("/"))
    assert "grounded Riss zz and 2 more" in english
    german = words(sign_in(owner).get("/"))
    assert "gesperrt Riss zz und 2 weitere Gründe" in german
    assert "Big Glider 2 Querruder, " in german
    assert ", 2 Wölbklappen" in german
    reasons = Glance.objects.get(airframe__slug="big-glider").reasons
    assert in_words(reasons)[2] == "rebuilt: zz"
    with speaking("de"):
        assert in_words(reasons)[2] == "umgebaut: zz"
        assert in_words(reasons)[3].startswith("vor dem nächsten Flug nachsehen, nach dem Flug am ")


def test_what_is_kept_holds_no_words_of_ours(pages: list[str], owner: Member) -> None:
    """Codes, figures and what members typed: the same row whoever causes it."""
    Grounding.objects.update(released_at=timezone.now(), released_by=owner, release_reason="x")
    kept: dict[str, dict[str, Any]] = {}
    for language in ("en", "de"):
        with speaking(language):
            glances.touch_all()
            glances.refresh_all()
        kept[language] = {**Glance.objects.values().get(airframe__slug="big-glider"), "touched": 0}
    assert kept["en"] == kept["de"]
    assert [code for code, _values in kept["en"]["reasons"]][:2] == ["warnings", "rejected"]


def test_the_page_and_the_line_up_say_the_same(pages: list[str], reader: Member, sign_in: SignIn) -> None:
    airframe = Revision.objects.get(number=1).airframe
    for language in ("en", "de"):
        with speaking(language):
            glances.refresh_all()
            standing = standing_of(airframe)
            row = Glance.objects.get(airframe=airframe)
            assert in_words(row.reasons) == standing.reasons
            set_preferences(user=reader, language=language)
            page = words(sign_in(reader).get(reverse("flights:airframe", args=["big-glider"])))
            assert all(reason[1:] in page for reason in standing.reasons)


def test_each_reason_that_is_kept_has_words() -> None:
    """A code without words would read as "something was logged just now"."""
    given = {
        "after-flight": {"condition": "damaged", "on": "2026-05-01"}, "status": {"status": "building"},
        "no-check": {"kind": "range"}, "check-gone": {"kind": "range", "why": ["work", {}]},
        "too-few-channels": {"receiver": "R6", "channels": 6, "highest": 7}, "warnings": {"count": 2},
        "not-flown": {"revision": 2}, "rejected": {"revision": 2}, "other-entered": {"entered": 1, "head": 2},
        "not-measured": {"surfaces": []}, "in-band": {"mass_g": 2100.0, "band": "b", "asks": ""},
        "said": {"reason": "x"}, "rebuilt": {"note": "x"},
    }  # fmt: skip
    for code in WORDS:
        english = in_words([(code, given.get(code, {}))])
        with speaking("de"):
            german = in_words([(code, given.get(code, {}))])
        assert english != german or code == "said", code
    assert in_words([("of a later version", {"x": 1})]) == in_words(glances.STALE)
