"""Whatever is typed into any form of the site, and whatever is imported: a page answers, and what is stored is sound.

HANGAR_INPUTS=1000 makes it a long run by hand: each box of each form meets each kind of junk, each place of a setup
each kind of value, and so many more of each are drawn by chance. Then the tests tell all faults at their end.
"""

import copy
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client, override_settings
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from hangar.fleet.models import Airframe
from tests.factories import MemberFactory, open_draft
from tests.hangar.access.conftest import make_cast
from tests.hangar.pages.forms import Sent, attempt, filled, forms_of
from tests.hangar.pages.junk import BODIES, FILES, GLIDER, MISSING, TYPED, documents, places, written
from tests.hangar.pages.walking import Form

pytestmark = pytest.mark.django_db
WHOLE = "HANGAR_INPUTS" in os.environ
INPUTS = int(os.environ.get("HANGAR_INPUTS", "100"))
PARTS = 4

SAMPLES = [sample for samples in TYPED.values() for sample in samples if len(str(sample)) < 10_000]
DRAWN = st.one_of(
    st.sampled_from(SAMPLES),
    st.text(max_size=60),
    st.integers(-(10**20), 10**20).map(str),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.floats(-200, 200).map(lambda number: f"{number:.2f}"),
)
FILES_DRAWN = st.one_of(st.binary(max_size=200), st.sampled_from([one for kind in FILES.values() for one in kind]))


@dataclass(frozen=True)
class Stage:
    """A club in which every address leads somewhere, with a draft of the secretary's; she sends its forms."""

    airframe: Airframe
    browser: Client
    forms: list[Form]


@pytest.fixture(scope="module")
def stage(django_db_setup: None, django_db_blocker: Any) -> Iterator[Stage]:
    """Made once, and undone at the end: each attempt undoes what it did, and to find all forms takes a while."""
    # Sheets are left to workers that are not there: what is typed decides which, not how they look.
    workers = override_settings(TASKS={"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}})
    with django_db_blocker.unblock(), workers, transaction.atomic():
        names = ("owner", "helper", "reader", "instructor", "secretary")
        roles = {name: {name: True} if name in ("instructor", "secretary") else {} for name in names}
        members = {name: MemberFactory.create(login=name, **roles[name]) for name in names}
        browsers = {name: Client() for name in ("owner", "secretary")}
        for name, browser in browsers.items():
            browser.force_login(members[name])
        cast = make_cast(members)
        airframe = Airframe.objects.get(slug=cast["slug"])
        open_draft(user=members["secretary"], airframe=airframe)
        yield Stage(airframe, browsers["secretary"], forms_of(browsers["secretary"], cast))
        transaction.set_rollback(True)


class Faults:
    """In a long run, what went wrong is gathered, and told at its end."""

    def __init__(self) -> None:
        self.count, self.told = 0, list[str]()

    def attempt(self, sent: Sent, airframe: Airframe) -> None:
        self.count += 1
        try:
            attempt(sent, airframe)
        except Exception as error:
            if not WHOLE:
                raise AssertionError(str(sent)) from error
            self.told.append(f"{error!r:.300} after {sent}"[:900])

    def none(self) -> None:
        print(f"{self.count} cases")
        assert not self.told, "\n".join(self.told)


def kinds_of(form: Form, box: str) -> dict[str, tuple[Any, ...]]:
    return {**TYPED, **FILES} if box in form.files else TYPED


def every_turn(form: Form) -> Iterator[dict[str, Any]]:
    """One box at a time with the others as they are: in a long run each kind in each box, else each box and half of
    the kinds.

    And, for each kind, all boxes filled with it: of these a short run takes the first two.
    """
    boxes = [name for name in form.names if name != "csrfmiddlewaretoken"]
    kinds = list(TYPED)
    for number, kind in enumerate(kinds if WHOLE else kinds[:2]):
        yield {box: TYPED[kind][(number + place) % len(TYPED[kind])] for place, box in enumerate(boxes)}
    pairs = [(place, kind) for place, box in enumerate(boxes) for kind in kinds_of(form, box)]
    if not WHOLE:
        start = len(form.action)
        turns = range(max(len(boxes), len(kinds) // 2) if boxes else 0)
        pairs = [(turn % len(boxes), kinds[(start + turn + turn // len(boxes)) % len(kinds)]) for turn in turns]
        pairs += [(boxes.index(box), kind) for box in form.files for kind in FILES]
    for place, kind in pairs:
        samples = kinds_of(form, boxes[place])[kind]
        yield {boxes[place]: samples[(place + len(form.action)) % len(samples)]}


def as_sent(form: Form, junk: dict[str, Any]) -> dict[str, Any]:
    """A sample of a file is sent as one."""
    files = {sample for kind in FILES.values() for sample in kind}
    return {
        box: SimpleUploadedFile("x.json", sample) if box in form.files and sample in files else sample
        for box, sample in junk.items()
    }


@pytest.mark.parametrize("part", range(PARTS))
def test_junk_of_every_kind_in_every_form(stage: Stage, part: int) -> None:
    faults = Faults()
    assert len(stage.forms) > 70, [form.action for form in stage.forms]
    for form in stage.forms[part::PARTS]:
        for turn, junk in enumerate(every_turn(form)):
            faults.attempt(Sent(form, stage.browser, filled(form, as_sent(form, junk), turn)), stage.airframe)
    # Signed in to the end: else all of it met the sign-in page.
    assert stage.browser.get("/").status_code == 200
    faults.none()


def test_bodies_that_no_form_sends(stage: Stage) -> None:
    faults = Faults()
    for form in [form for form in stage.forms if form.method == "post"]:
        for body, kind in BODIES if WHOLE else BODIES[faults.count % len(BODIES) :][:1]:
            faults.attempt(Sent(form, stage.browser, {"a body": kind}, body=(body, kind)), stage.airframe)
    assert stage.browser.get("/").status_code == 200
    faults.none()


def test_every_form_with_anything_in_it(stage: Stage) -> None:
    forms, seen = stage.forms, set()

    @settings(max_examples=INPUTS)
    @given(st.data())
    def drawn(data: Any) -> None:
        form = data.draw(st.sampled_from(forms))
        junk: dict[str, Any] = {}
        for name in data.draw(st.lists(st.sampled_from(form.names), max_size=4)) if form.names else ():
            if name in form.files:
                junk[name] = SimpleUploadedFile("x.json", data.draw(FILES_DRAWN))
            else:
                junk[name] = data.draw(st.one_of(DRAWN, st.lists(DRAWN, min_size=2, max_size=2)))
        sent = Sent(form, stage.browser, filled(form, junk, data.draw(st.integers(0, 9))))
        attempt(sent, stage.airframe)
        seen.add(form.action)

    drawn()
    assert stage.browser.get("/").status_code == 200
    assert len(seen) > min(INPUTS, len(forms)) // 4


def imported(stage: Stage, document: Any, noise: bytes = b"") -> Sent:
    page = reverse("setups:import", args=[stage.airframe.slug])
    file = SimpleUploadedFile("x.json", json.dumps(document).encode() + noise)
    return Sent(Form(page, page, "post"), stage.browser, {"document": file, "reason": "anything"})


def test_importing_a_setup_with_each_kind_of_value_in_each_place(stage: Stage) -> None:
    """In a short run one in 71 of them."""
    whole, faults = json.loads(GLIDER.read_text()), Faults()
    for place, value in list(documents())[:: 1 if WHOLE else 71]:
        document = copy.deepcopy(whole)
        written(document, place, value)
        sent = imported(stage, document)
        told = {**sent.values, "reason": f"{place} {value!r:.60}"}
        faults.attempt(Sent(sent.form, stage.browser, told), stage.airframe)
    faults.none()


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-(2**70), 2**70), st.floats(), st.text(max_size=40),
    st.sampled_from([value for _, value in list(documents())[:26] if value is not MISSING]),
)  # fmt: skip


def test_importing_anything(stage: Stage) -> None:
    whole = json.loads(GLIDER.read_text())

    @settings(max_examples=INPUTS)
    @given(
        st.lists(st.tuples(st.sampled_from(list(places(whole))), ODD), min_size=1, max_size=3), st.binary(max_size=3)
    )
    def drawn(changes: list[tuple[tuple[Any, ...], Any]], noise: bytes) -> None:
        document = copy.deepcopy(whole)
        for place, value in changes:
            written(document, place, value)
        attempt(imported(stage, document, noise), stage.airframe)

    drawn()
