"""What came in the second year: withdrawing, rules, a photo, visits, kept rows in English, batches, backups."""

import io
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models import Model
from PIL import Image

from tests.factories import make_setup

from .first_spring import day

WITHDRAWN = {"withdrawn_at": day(402), "withdrawal_reason": "the wrong model"}
BASE = "https://hangar.example"
PHOTO = "airframes/an-old-photo.jpg"


def logged(apps: Any, has: dict[str, Any]) -> None:
    """One row of each kind that can be withdrawn, withdrawn."""
    owner, gone = has["owner"], {**WITHDRAWN, "withdrawn_by": has["owner"]}
    at = {"at": day(401), "by": owner, **gone}
    put = _putter(apps)
    put("fleet.MarkSeen", airframe=has["gull"], mark="TER-Ø7", **at)
    put("fleet.MarkSeen", airframe=has["gull"], mark="TER-Ø7", at=day(403), by=owner)
    put("fleet.Fitting", receiver=has["fitted"].receiver, airframe=has["kite"], since=day(401), by=owner, **gone)
    put("fleet.Binding", receiver=has["fitted"].receiver, transmitter=has["own"], **at)
    put(
        "fleet.Check", kind="range", fitting=has["fitted"], transmitter=has["own"], failsafe_digest="1" * 64,
        passed=False, **at,
    )  # fmt: skip
    put("setups.Entered", revision=has["third"], transmitter=has["own"], model_memory="08", **at)
    put(
        "flights.Flight", revision=has["third"], flown_on=day(401).date(), pilot=owner, load="small", verdict="tweak",
        reason="a little less", recorded_at=day(401), by=owner, **gone,
    )  # fmt: skip
    put("flights.Grounding", airframe=has["kite"], since=day(401), by=owner, reason="a crack", **gone)
    put(
        "flights.Grounding", airframe=has["kite"], since=day(404), by=owner, cause="first_flight", second_person=True,
        reason="club rule: a second person releases it before its first flight",
    )  # fmt: skip
    put("flights.Work", airframe=has["kite"], kind="bought", note="as it was", **at)
    check = put("flights.ThrowCheck", revision=has["third"], **at)
    put("flights.Reading", check_of=check, surface="elevator", predicted_mm=-9.6, measured_mm=-9.0, play_mm=0.4)
    put("flights.BalanceCheck", revision=has["third"], load="small", cg_mm=66, mass_g=912.5, **at)


def _putter(apps: Any) -> Any:
    def put(name: str, /, **fields: Any) -> Model:
        made: Model = apps.get_model(name).objects.create(**fields)
        return made

    return put


def rules(apps: Any, has: dict[str, Any]) -> None:
    put = _putter(apps)
    put("fleet.ClubRules", first_flight=True, mark="look_first", changed_at=day(399), changed_by=has["secretary"])
    put("fleet.MassBand", label="From 2 kg", from_g=2000, asks="a fire extinguisher at hand", weight="look_first")
    put(
        "members.Visit", member=has["owner"], session_key="s" * 32, device="Firefox on Linux", signed_in_at=day(400),
        last_seen_at=day(401),
    )  # fmt: skip
    apps.get_model("members.PersonalName").objects.filter(member=has["owner"]).update(email="olive@example.org")
    put("members.Invitation", token_digest="c" * 64, member=has["owner"], invited_by=None, expires_at=day(402))
    put("keeping.Backup", at=day(405), name="hangar-20220422T093000Z.zip", size=123_456, digest="d" * 64)
    put("keeping.Drill", at=day(406), name="hangar-20220422T093000Z.zip", made_at=day(405), revisions=4)


def photo(apps: Any, has: dict[str, Any]) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (30, 20), "navy").save(picture, "JPEG")
    default_storage.save(PHOTO, ContentFile(picture.getvalue()))
    _putter(apps)(
        "fleet.Photo", airframe=has["gull"], image=PHOTO, alt="On the grass", width=30, height=20, digest="e" * 64,
        at=day(398), by=has["owner"],
    )  # fmt: skip


def setups(apps: Any, has: dict[str, Any]) -> None:
    """Edited since, with what the draft said before; and a summary by code that is gone."""
    setup = make_setup()
    draft = apps.get_model("setups.Draft").objects
    draft.filter(airframe__slug="grosse-moewe").update(
        before=setup.changed(remarks="Half-way.").text(), text=setup.changed(remarks="Nearly.").text(), version=5
    )
    draft.create(
        airframe=has["gull"], member=has["instructor"], base=has["third"], text=setup.text(), before="", version=1,
        updated_at=day(410),
    )  # fmt: skip
    draft.filter(airframe__slug="kite").update(before=setup.changed(remarks="Begun.").text(), version=2)
    _putter(apps)(
        "setups.DocumentSummary", document=has["third"].document, code="of-long-ago", layout="a glider",
        failsafe="0" * 64, highest_channel=3, warnings=1, cautions=2, notes=3, surfaces={"elevator": "Elevator"},
    )  # fmt: skip


def line_up(apps: Any) -> None:
    """As it was worked out then: in words, by code that is gone."""
    apps.get_model("flights.Glance").objects.update(
        stale=False, code="of-long-ago", state="ready to fly", reasons=["flew well"], layout="a glider", revision=3,
        verdict="keep", sheet="2 revisions behind", receiver="R9", failsafe="holds", range_check="to be done",
        warnings=0, last_flown=day(21).date(),
    )  # fmt: skip


def paper(apps: Any, has: dict[str, Any]) -> None:
    put = _putter(apps)
    copies = [
        put("sheets.Print", revision=has["third"], kind="setup_sheet", paper="a4", copy=number, token=f"{number}" * 22,
            instruction=number == 2, at=day(420), by=has["owner"])
        for number in (2, 3)
    ]  # fmt: skip
    put("sheets.LostCopy", copy=copies[0], replaced_by=copies[1], at=day(421), by=has["owner"])
    batch = put("sheets.Batch", by=has["secretary"], at=day(422), what="all that are outdated", paper="a4", base=BASE)
    put("sheets.BatchItem", batch=batch, airframe=has["gull"], state="done", copy=copies[1])
    put("sheets.BatchItem", batch=batch, airframe=has["kite"], state="failed", error="has no setup yet")
    put("sheets.BatchItem", batch=batch, airframe=has["old"], state="queued", queued_at=day(422))


def fill(apps: Any, keys: dict[str, Any]) -> dict[str, Any]:
    """More rows, of the kinds that came since. `keys`: what the first spring left, by table and key."""
    has = {word: apps.get_model(label).objects.get(pk=key) for word, (label, key) in keys.items()}
    for step in (logged, rules, photo, setups, paper):
        step(apps, has)
    line_up(apps)
    return has
