"""What is said of members, in German: kept in English or as figures, put into words when it is read."""

from datetime import date

import pytest

from hangar.languages.speaking import speaking
from hangar.members.device_words import device_words, told
from hangar.members.errors import NotAllowed
from hangar.members.models import Member, PersonalName, Visit
from hangar.members.policy import guard

FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"
A_PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605 Version/18.0 Mobile Safari/604.1"


@pytest.mark.parametrize(("agent", "in_german"), [
    (FIREFOX, "Firefox auf Linux"), (A_PHONE, "Safari auf einem iPhone"), ("Windows", "Ein Browser auf Windows"),
    ("", "Ein Browser, der nicht sagt, was er ist"),
])  # fmt: skip
def test_a_browser_is_kept_in_english_and_read_in_german(agent: str, in_german: str) -> None:
    with speaking("de"):
        kept = device_words(agent)
        assert str(Visit(device=kept)) == in_german
    assert told(kept) == kept


def test_when_a_number_expires_by_the_habits_of_the_language() -> None:
    name = PersonalName(licence_expires_on=date(2026, 3, 9))
    assert name.expiry_warning(date(2026, 3, 1)) == "expires on 9 March 2026"
    with speaking("de"):
        assert name.expiry_warning(date(2026, 3, 1)) == "läuft am 9. März 2026 ab"
        assert name.expiry_warning(date(2026, 3, 10)) == "ist am 9. März 2026 abgelaufen"


@pytest.mark.django_db
def test_a_refusal_is_told_in_german() -> None:
    pilot = Member.objects.create_user("olive", full_name="Olive Owner")
    with speaking("de"), pytest.raises(NotAllowed, match="Bitte einen Schriftführer"):
        guard(pilot, "manage_members")
