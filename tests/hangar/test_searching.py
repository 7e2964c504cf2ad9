"""Searching without regard to case and accents, with one answer on both databases, and choosing one of many by name."""

from types import SimpleNamespace
from typing import Any

import pytest
from django import forms
from django.core.management import call_command
from django.db import connection, models
from django.test import Client
from django.urls import reverse

from hangar import choosing
from hangar.fleet.choices import LABELS, find_airframes
from hangar.fleet.forms import PeopleForm
from hangar.fleet.models import Airframe, Receiver
from hangar.fleet.operations import change_airframe
from hangar.flights.tables import LineUpFilter
from hangar.folding import fill, folded, search_words
from hangar.members.choices import MEMBERS
from hangar.members.models import Member, PersonalName
from hangar.members.operations import change_name, erase_name
from hangar.members.tables import MemberFilter
from tests.factories import AirframeFactory, MemberFactory, ReceiverFactory, TransmitterFactory, record_first

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Süd-WIND", "sud-wind"), ("Ålesund", "alesund"), ("Straße", "strasse"), ("SØREN Łódź", "soren lodz"),
        ("  two   words\t", "two words"), ("Ǽon", "aeon"), ("İ", "i"), ("ﬁn", "fin"), ("½", "1⁄2"),
        ("Ωmega", "ωmega"), ("a\0b\ud800c", "a b c"), ("", ""),
    ],
)  # fmt: skip
def test_case_and_accents_do_not_count(text: str, plain: str) -> None:
    assert folded(text) == plain
    assert folded(plain) == plain


def test_a_search_has_few_words() -> None:
    assert search_words(" A b C d E f g h ") == ["a", "b", "c", "d", "e", "f"]


@pytest.fixture
def hangar() -> None:
    olva, tesi = (MemberFactory.create(name__full_name=name) for name in ("Ölva Løwmere", "Tési Ham"))
    AirframeFactory.create(name="Süd-Wind", mark="MF-100%", owner=tesi)
    AirframeFactory.create(name="Élan", mark="MF_2", owner=olva)
    AirframeFactory.create(name="ELAN II", mark="", owner=tesi)


@pytest.mark.parametrize(
    ("search", "names"),
    [
        ("sud", ["Süd-Wind"]), ("SÜD", ["Süd-Wind"]), ("elan", ["ELAN II", "Élan"]), ("ÉLAN tesi", ["ELAN II"]),
        ("lowmere", ["Élan"]), ("LØW", ["Élan"]), ("ind", ["Süd-Wind"]), ("100%", ["Süd-Wind"]), ("_", ["Élan"]),
        ("0%", ["Süd-Wind"]),
        ("mf ham", ["Süd-Wind"]), ("nobody", []), ("", ["ELAN II", "Süd-Wind", "Élan"]),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("hangar")
def test_the_line_up_is_searched_by_name_mark_and_owner(search: str, names: list[str]) -> None:
    found = LineUpFilter({"search": search}, queryset=Airframe.objects.all()).qs
    assert sorted(one.name for one in found) == names


@pytest.mark.usefixtures("hangar")
def test_members_are_searched_alike() -> None:
    PersonalName.objects.filter(full_name="Tési Ham").update(operator_number="OP-77")
    for search, logins in (("olva", 1), ("HAM", 1), ("op-77", 1), ("member", 2), ("ölva op", 0)):
        assert MemberFilter({"search": search}, queryset=Member.objects.all()).qs.count() == logins, search


def test_what_is_searched_follows_what_is_written(airframe: Airframe, owner: Member) -> None:
    change_airframe(user=owner, airframe=airframe, name="Größe", mark="Ä 1")
    assert list(find_airframes(Airframe.objects.all(), "grosse a")) == [airframe]
    assert not find_airframes(Airframe.objects.all(), "glider")
    change_name(user=owner, member=owner, full_name="Åsa Åse", operator_number="", licence_expires_on=None)
    assert list(find_airframes(Airframe.objects.all(), "asa")) == [airframe]


def test_an_erased_name_is_found_nowhere(airframe: Airframe, owner: Member) -> None:
    erase_name(user=owner, member=owner)
    assert not find_airframes(Airframe.objects.all(), "olive")
    assert not PersonalName.objects.filter(searched__contains="olive").exists()


def test_rows_that_were_there_before_are_filled() -> None:
    row = AirframeFactory.create(name="Süd", mark="7")
    models.QuerySet(Airframe).update(searched="")
    with pytest.MonkeyPatch.context() as change:
        change.setattr("hangar.folding.index", lambda *where: None)
        fill("fleet", "airframe")(_Apps(), SimpleNamespace(connection=connection))  # type: ignore[arg-type]
    row.refresh_from_db()
    assert row.searched == "sud 7"


class _Apps:
    def get_model(self, app: str, name: str) -> Any:
        return Airframe


def test_postgresql_finds_a_part_of_a_word_by_its_index() -> None:
    if connection.vendor != "postgresql":
        call_command("check")
        return
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("EXPLAIN SELECT id FROM fleet_airframe WHERE searched::text LIKE '%%winter%%'", [])
        assert "fleet_airframe_searched" in "\n".join(line for (line,) in cursor.fetchall())


class Choice(forms.Form):
    receiver = forms.ModelChoiceField(
        Receiver.objects.none(), empty_label="Choose one", error_messages={"required": "Choose the receiver."}
    )


def choice(data: dict[str, str] | None = None, **options: Any) -> Choice:
    form = Choice(data, **options)
    every = Receiver.objects.all()
    choosing.offer(form, "receiver", every=every, likely=every.filter(status="spare")[:2], naming=LABELS)
    return form


def test_few_are_a_list() -> None:
    receiver = ReceiverFactory.create()
    assert f'<option value="{receiver.pk}">{receiver}</option>' in str(choice()["receiver"])
    form = choice({"receiver": str(receiver.pk)})
    assert form.is_valid()
    assert form.cleaned_data["receiver"] == receiver


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> list[Receiver]:
    monkeypatch.setattr(choosing, "MOST", 3)
    return [ReceiverFactory.create(label=label, status="spare") for label in ("R1", "R10", "R11", "R12", "Grey <box>")]


def test_many_are_typed_and_the_likely_offered(many: list[Receiver]) -> None:
    shown = str(choice()["receiver"])
    assert '<input type="text" name="receiver"' in shown
    assert 'list="id_receiver_offered"' in shown
    assert '<datalist id="id_receiver_offered"><option value="Grey &lt;box&gt;"></option><option value="R1">' in shown
    assert "R11" not in shown
    assert 'value="R12"' in str(choice(initial={"receiver": many[3].pk})["receiver"])


@pytest.mark.parametrize(
    ("typed", "found"), [("R1", "R1"), ("R12", "R12"), ("grey", "Grey <box>"), (" r10 ", "R10"), ("box", "Grey <box>")]
)
@pytest.mark.usefixtures("many")
def test_what_is_meant_is_found(typed: str, found: str) -> None:
    form = choice({"receiver": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["receiver"].label == found


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("r", "“r” fits several, such as Grey &lt;box&gt;, R1, R10: give one of them as it stands here."),
        ("R9", "Nothing here is called “R9”."), ("", "Choose the receiver."),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("many")
def test_what_is_not_clear_is_asked_again_with_what_was_typed(typed: str, told: str) -> None:
    form = choice({"receiver": typed})
    assert told in str(form.errors["receiver"])
    assert f'value="{typed}"' in str(form["receiver"]) or not typed


def test_a_member_is_told_apart_by_login(owner: Member, airframe: Airframe, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choosing, "MOST", 1)
    one, other = (MemberFactory.create(login=login, name__full_name="Bren Séyfell") for login in ("bren", "bren2"))
    assert MEMBERS.name(one) == "Bren Séyfell (bren)"

    def asked(name: str) -> PeopleForm:
        kept = [str(helper.pk) for helper in airframe.helpers.all()]
        return PeopleForm({"owner": name, "helpers": kept, "another": MEMBERS.name(other)}, airframe=airframe)

    assert "fits several" in str(asked("bren seyfell").errors["owner"])
    form = asked("Bren Séyfell (bren)")
    assert form.is_valid(), form.errors
    assert form.cleaned_data["owner"] == one
    assert [*airframe.helpers.all(), other] == list(form.cleaned_data["helpers"])
    assert "another" not in form.cleaned_data


def test_pages_of_a_large_club_take_names(
    client: Client, owner: Member, airframe: Airframe, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each form that chooses one of many, through its page."""
    record_first(airframe)
    MemberFactory.create_batch(3)
    [case, *_] = [TransmitterFactory.create(owner=owner, label=f"Case {n}") for n in range(3)]
    [spare, *_] = [ReceiverFactory.create(label=f"R{n}", status="spare") for n in range(3)]
    monkeypatch.setattr(choosing, "MOST", 2)
    client.force_login(owner)
    slug = [airframe.slug]
    client.post(reverse("fleet:fit_receiver", args=slug), {"receiver": "R0"})
    assert airframe.fittings.get().receiver == spare
    client.post(reverse("fleet:bind_receiver", args=slug), {"transmitter": "Case 0"})
    assert spare.bindings.get().transmitter == case
    client.post(reverse("setups:enter", args=slug), {"revision": 1, "transmitter": "case 0", "model_memory": "7"})
    client.post(reverse("setups:check", args=slug), {"kind": "range", "transmitter": "Case 0", "passed": "yes"})
    assert (case.entries.count(), case.checks.count()) == (1, 1)
    flight = {"revision": 1, "load": "small", "verdict": "keep", "condition_after": "sound", "flown_on": "2026-05-01"}
    client.post(reverse("flights:log_flight", args=slug), {**flight, "pilot": "henry"})
    assert owner.flights.count() == 0
    assert Member.objects.get(login="helper").flights.count() == 1
    refused = client.post(reverse("flights:log_flight", args=slug), {**flight, "pilot": "Nobody <b>"}).content.decode()
    assert "Nothing here is called “Nobody &lt;b&gt;”." in refused
    assert 'value="Nobody &lt;b&gt;"' in refused
