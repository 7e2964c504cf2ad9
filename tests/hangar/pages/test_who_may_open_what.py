"""Every page: members open it, strangers are asked to sign in, readers change nothing, other methods are refused."""

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe, Receiver, Transmitter
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn

READ = [
    ("flights:line_up", ()), ("flights:airframe", ("big-glider",)), ("flights:history", ("big-glider",)),
    ("flights:revision", ("big-glider", 1)), ("setups:revision_json", ("big-glider", 1)),
    ("setups:bench", ("big-glider",)), ("setups:linkages", ("big-glider",)), ("setups:dial_in", ("big-glider", 1)),
    ("help:help", ()), ("fleet:receivers", ()), ("fleet:transmitters", ()), ("flights:ground", ("big-glider",)),
    ("setups:new_airframe", ()), ("fleet:new_transmitter", ()),
]  # fmt: skip
EDIT = [
    ("fleet:edit_airframe", ("big-glider",)),
    ("fleet:fit_receiver", ("big-glider",)),
    ("setups:import", ("big-glider",)), ("setups:enter", ("big-glider",)), ("setups:check", ("big-glider",)),
    ("setups:draft", ("big-glider",)), ("setups:throws", ("big-glider",)), ("setups:phase_changes", ("big-glider",)),
    ("flights:roll_back", ("big-glider",)),
    ("flights:log_flight", ("big-glider",)), ("setups:parts", ("big-glider", "surfaces")),
    ("setups:new_part", ("big-glider", "surfaces")), ("setups:new_part", ("big-glider", "channels")),
    ("setups:new_part", ("big-glider", "controls")), ("setups:new_part", ("big-glider", "devices")),
    ("setups:new_part", ("big-glider", "phases")), ("setups:part", ("big-glider", "surfaces", 0)),
    ("setups:part", ("big-glider", "channels", 6)), ("setups:part", ("big-glider", "phases", 1)),
    ("setups:single", ("big-glider", "balance")), ("setups:single", ("big-glider", "signal")),
    ("setups:single", ("big-glider", "remarks")), ("setups:linkage", ("big-glider", 0)),
]  # fmt: skip
ONLY_POST = [
    ("fleet:take_receiver_out", ("big-glider",)), ("fleet:bind_receiver", ("big-glider",)),
    ("setups:discard", ("big-glider",)), ("setups:take_back", ("big-glider",)),
    ("setups:settle", ("big-glider",)), ("setups:rewire", ("big-glider",)),
    ("setups:remove_part", ("big-glider", "surfaces", 0)),
]  # fmt: skip
LISTED = ("setups:parts", "setups:phase_changes")
COUPLING = "?control=lever&channel=6&phase="


@pytest.mark.parametrize(("name", "args"), READ)
def test_every_member_reads(
    glider: Revision, reader: Member, sign_in: SignIn, name: str, args: tuple[str, ...]
) -> None:
    assert sign_in(reader).get(reverse(name, args=args)).status_code == 200


@pytest.mark.parametrize(("name", "args"), EDIT)
def test_owner_and_helper_edit(
    glider: Revision, owner: Member, helper: Member, sign_in: SignIn, name: str, args: tuple[str, ...]
) -> None:
    for member in (owner, helper):
        assert sign_in(member).get(reverse(name, args=args)).status_code == 200


@pytest.mark.parametrize(("name", "args"), EDIT)
def test_readers_are_refused_in_words(
    glider: Revision, reader: Member, sign_in: SignIn, name: str, args: tuple[str, ...]
) -> None:
    browser = sign_in(reader)
    for response in (browser.get(reverse(name, args=args)), browser.post(reverse(name, args=args))):
        assert response.status_code == (405 if name in LISTED and response.request["REQUEST_METHOD"] == "POST" else 403)
    assert "ask its owner" in browser.get(reverse(name, args=args)).content.decode()


@pytest.mark.parametrize(("name", "args"), [*READ, *EDIT, *ONLY_POST])
def test_strangers_are_asked_to_sign_in(glider: Revision, name: str, args: tuple[str, ...]) -> None:
    address = reverse(name, args=args)
    for response in (Client().get(address), Client().post(address)):
        assert response.status_code == 302
        assert response["Location"].startswith(reverse("members:sign_in"))


@pytest.mark.parametrize(("name", "args"), [*READ[1:7], *EDIT])
def test_what_is_not_there(glider: Revision, owner: Member, sign_in: SignIn, name: str, args: tuple[str, ...]) -> None:
    response = sign_in(owner).get(reverse(name, args=("no-such-model", *args[1:])))
    assert response.status_code == 404
    assert "There is no such page" in response.content.decode()


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("flights:revision", ("big-glider", 99)), ("setups:revision_json", ("big-glider", 99)),
        ("setups:parts", ("big-glider", "wheels")), ("setups:part", ("big-glider", "surfaces", 99)),
        ("setups:new_part", ("big-glider", "wheels")), ("fleet:receiver", (99,)), ("fleet:transmitter", (99,)),
        ("fleet:edit_receiver", (99,)), ("fleet:edit_transmitter", (99,)), ("fleet:prove_signs", (99,)),
    ],
)  # fmt: skip
def test_numbers_that_are_not_there(
    glider: Revision, secretary: Member, sign_in: SignIn, name: str, args: tuple[str | int, ...]
) -> None:
    assert sign_in(secretary).get(reverse(name, args=args)).status_code == 404


@pytest.mark.parametrize("query", ["", "?control=lever", "?control=wheel&channel=6", "?control=lever&channel=99",
                                   "?control=lever&channel=six", "?control=lever&channel=6&phase=night"])  # fmt: skip
def test_a_coupling_of_what_is_not_there(glider: Revision, owner: Member, sign_in: SignIn, query: str) -> None:
    assert sign_in(owner).get(reverse("setups:coupling", args=["big-glider"]) + query).status_code == 404


def test_who_edits_a_coupling(glider: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    address = reverse("setups:coupling", args=["big-glider"]) + COUPLING
    assert sign_in(owner).get(address).status_code == 200
    assert sign_in(reader).get(address).status_code == 403
    assert sign_in(reader).post(address, {"do": "work"}).status_code == 403


@pytest.mark.parametrize(("name", "args"), [*READ[:9], ("setups:parts", ("big-glider", "surfaces"))])
def test_pages_to_read_take_no_post(
    glider: Revision, owner: Member, sign_in: SignIn, name: str, args: tuple[str, ...]
) -> None:
    assert sign_in(owner).post(reverse(name, args=args)).status_code == 405


@pytest.mark.parametrize(("name", "args"), ONLY_POST)
def test_deeds_need_a_post(glider: Revision, owner: Member, sign_in: SignIn, name: str, args: tuple[str, ...]) -> None:
    assert sign_in(owner).get(reverse(name, args=args)).status_code == 405


@pytest.mark.parametrize(("name", "args"), [*EDIT, ("setups:new_airframe", ()), ("flights:ground", ("big-glider",))])
def test_forms_take_no_delete(
    glider: Revision, owner: Member, sign_in: SignIn, name: str, args: tuple[str, ...]
) -> None:
    assert sign_in(owner).delete(reverse(name, args=args)).status_code == 405


def test_receivers_are_the_secretarys(receiver: Receiver, owner: Member, secretary: Member, sign_in: SignIn) -> None:
    for name, args in (("fleet:new_receiver", []), ("fleet:edit_receiver", [receiver.pk])):
        assert sign_in(secretary).get(reverse(name, args=args)).status_code == 200
        assert sign_in(owner).get(reverse(name, args=args)).status_code == 403
        assert sign_in(owner).post(reverse(name, args=args), {"label": "R9"}).status_code == 403
    assert sign_in(owner).get(reverse("fleet:receiver", args=[receiver.pk])).status_code == 200


def test_transmitters_are_their_owners(
    transmitter: Transmitter, owner: Member, reader: Member, sign_in: SignIn
) -> None:
    for name in ("fleet:edit_transmitter", "fleet:prove_signs"):
        assert sign_in(owner).get(reverse(name, args=[transmitter.pk])).status_code == 200
        assert sign_in(reader).get(reverse(name, args=[transmitter.pk])).status_code == 403
        assert sign_in(reader).post(reverse(name, args=[transmitter.pk]), {}).status_code == 403
    assert sign_in(reader).get(reverse("fleet:transmitter", args=[transmitter.pk])).status_code == 200


def test_only_an_instructor_releases(airframe: Airframe, owner: Member, instructor: Member, sign_in: SignIn) -> None:
    address = reverse("flights:release", args=[airframe.slug])
    assert sign_in(owner).get(address).status_code == 403
    assert sign_in(owner).post(address).status_code == 403
    assert sign_in(instructor).get(address).status_code == 302


@pytest.fixture
def receiver(db: None) -> Receiver:
    return ReceiverFactory.create(label="R7")


@pytest.fixture
def transmitter(owner: Member) -> Transmitter:
    return TransmitterFactory.create(owner=owner)
