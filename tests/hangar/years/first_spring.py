"""What the club wrote in its first spring: two pilots, an instructor, a secretary and one who left, three models."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.contrib.auth.hashers import make_password

from hangar.setups.sealing import seal
from mixing import Setup
from tests.factories import make_setup

FIRST_DAY = datetime(2021, 3, 14, 9, 30, tzinfo=UTC)
PASSWORD = "seven wet boots"


def day(number: int) -> datetime:
    return FIRST_DAY + timedelta(days=number)


class Chain:
    """The revisions of one airframe, sealed one after the other."""

    def __init__(self, apps: Any, airframe: Any) -> None:
        self.apps, self.airframe, self.head = apps, airframe, None

    def record(self, setup: Setup, author: Any, at: datetime, reason: str, origin: str = "edit") -> Any:
        document = self.apps.get_model("setups", "Document").objects.get_or_create(
            digest=setup.digest(), defaults={"text": setup.text()}
        )[0]
        parent: Any = self.head
        number = parent.number + 1 if parent else 1
        sealed = seal(
            airframe_id=self.airframe.pk, parent_seal=parent.seal if parent else None, number=number,
            document_digest=document.digest, author_key=author.author_key, time=at, reason=reason, origin=origin,
        )  # fmt: skip
        self.head = self.apps.get_model("setups", "Revision").objects.create(
            airframe=self.airframe, number=number, document=document, parent=parent, author=author, recorded_at=at,
            reason=reason, origin=origin, seal=sealed,
        )  # fmt: skip
        return self.head


def member(apps: Any, login: str, name: str, role: str = "pilot", **fields: Any) -> Any:
    made = apps.get_model("members", "Member").objects.create(
        login=login, role=role, password=make_password(PASSWORD), joined_at=day(0), **fields
    )
    if name:
        apps.get_model("members", "PersonalName").objects.create(member=made, full_name=name)
    return made


def people(apps: Any) -> dict[str, Any]:
    found = {
        "owner": member(apps, "owner", "Olive Öwner-Ångström"),
        "helper": member(apps, "helper", "Henry Helper", throw_unit="deg", paper="letter"),
        "instructor": member(apps, "instructor", "Ines Instructor", "instructor"),
        "secretary": member(apps, "secretary", "Sam Secretary", "secretary"),
        "former": member(apps, "former-00aa", "", is_active=False),
    }
    apps.get_model("members", "PersonalName").objects.filter(member=found["owner"]).update(
        operator_number="OP-17", licence_expires_on=date(2031, 3, 31)
    )
    invitation = apps.get_model("members", "Invitation").objects
    invitation.create(
        token_digest="a" * 64, member=found["helper"], invited_by=found["secretary"], expires_at=day(14),
        used_at=day(2),
    )  # fmt: skip
    invitation.create(
        token_digest="b" * 64, full_name="Paul Pending", invited_by=found["secretary"], expires_at=day(9000)
    )
    return found


def fleet(apps: Any, who: dict[str, Any]) -> dict[str, Any]:
    airframe = apps.get_model("fleet", "Airframe").objects
    found = {
        "gull": airframe.create(
            slug="grosse-moewe", name="Große  Möwe", owner=who["owner"], span_mm=3600, wing_area_dm2="62.50",
            mark="TER-Ø7", mark_place="under the canopy", status="airworthy", added_at=day(1),
        ),
        "kite": airframe.create(
            slug="kite", name="Kite", owner=who["helper"], status="building", added_at=day(2)
        ),
        "old": airframe.create(slug="old", name="Old", owner=who["former"], status="retired", added_at=day(1)),
    }  # fmt: skip
    found["gull"].helpers.add(who["helper"])
    receiver = apps.get_model("fleet", "Receiver").objects
    nine = receiver.create(label="R9", channels=9, status="in_use", note="from the shelf")
    spare = receiver.create(label="R6", channels=6)
    transmitter = apps.get_model("fleet", "Transmitter").objects
    own = transmitter.create(
        label="Olive's", owner=who["owner"], lever_forward="plus", expo_positive="softens", centre_unit="us",
        reversal="before", proven_on=day(3).date(), proven_by=who["owner"],
    )  # fmt: skip
    transmitter.create(label="The club's", owner=None, step_pct=0.5)
    fitting = apps.get_model("fleet", "Fitting").objects
    fitting.create(receiver=spare, airframe=found["gull"], since=day(1), until=day(4), by=who["owner"])
    fitted = fitting.create(receiver=nine, airframe=found["gull"], since=day(4), by=who["owner"])
    apps.get_model("fleet", "Binding").objects.create(receiver=nine, transmitter=own, at=day(4), by=who["owner"])
    for kind in ("failsafe", "range"):
        apps.get_model("fleet", "Check").objects.create(
            kind=kind, fitting=fitted, transmitter=own, failsafe_digest="0" * 64, at=day(5), by=who["owner"],
            passed=True, note="at the fence",
        )  # fmt: skip
    return {**found, "own": own, "fitted": fitted}


def history(apps: Any, who: dict[str, Any], has: dict[str, Any]) -> dict[str, Any]:
    owner, setup = who["owner"], make_setup()
    gull, old = Chain(apps, has["gull"]), Chain(apps, has["old"])
    first = gull.record(setup, owner, day(3), "first setup", "start")
    second = gull.record(setup.changed(remarks="More up."), who["helper"], day(20), "more up elevator")
    third = gull.record(setup, owner, day(30), "it dived", "rollback of 1")
    old.record(setup.changed(remarks="Given away."), who["former"], day(8), "first setup", "start")
    apps.get_model("setups", "Entered").objects.create(
        revision=third, transmitter=has["own"], model_memory="07 MOEWE", at=day(31), by=owner
    )
    draft = apps.get_model("setups", "Draft").objects
    draft.create(
        airframe=has["gull"], member=who["helper"], base=third, text=setup.changed(remarks="Half-way.").text(),
        version=4, updated_at=day(32),
    )  # fmt: skip
    draft.create(airframe=has["kite"], member=who["helper"], text=setup.text(), updated_at=day(33))
    return {"first": first, "second": second, "third": third, "chain": gull}


def flying(apps: Any, who: dict[str, Any], has: dict[str, Any]) -> None:
    owner, grounding = who["owner"], apps.get_model("flights", "Grounding").objects
    flight = apps.get_model("flights", "Flight").objects
    flight.create(
        revision=has["first"], flown_on=day(6).date(), pilot=owner, load="small", wind="light, west", verdict="keep",
        observation="Tracks straight.", recorded_at=day(6), by=owner,
    )  # fmt: skip
    dived = flight.create(
        revision=has["second"], flown_on=day(21).date(), pilot=who["helper"], load="small", verdict="reject",
        condition_after="inspect", reason="it dived", recorded_at=day(21), by=owner,
    )  # fmt: skip
    grounding.create(
        airframe=has["gull"], since=day(21), by=owner, flight=dived,
        reason=f"inspect before the next flight, after the flight on {day(21):%Y-%m-%d}", released_at=day(25),
        released_by=who["instructor"], release_reason="looked at, sound",
    )  # fmt: skip
    grounding.create(airframe=has["gull"], since=day(40), by=owner, reason="rebuilt: a new wing", second_person=True)
    grounding.create(airframe=has["old"], since=day(9), by=who["former"], reason="rebuilt: so I was told")
    work = apps.get_model("flights", "Work").objects
    work.create(airframe=has["gull"], kind="rebuild", at=day(40), by=owner, note="a new wing")
    work.create(airframe=has["gull"], kind="horn", surface="elevator", at=day(41), by=owner, note="a longer horn")
    check = apps.get_model("flights", "ThrowCheck").objects.create(
        revision=has["third"], at=day(42), by=owner, note="with the long ruler"
    )
    apps.get_model("flights", "Reading").objects.create(
        check_of=check, surface="elevator", positions={"pitch": 100}, predicted_mm=-9.6, measured_mm=-9.5
    )
    apps.get_model("flights", "BalanceCheck").objects.create(
        revision=has["third"], load="small", cg_mm=65.5, mass_g=None, at=day(42), by=owner
    )


def paper(apps: Any, who: dict[str, Any], has: dict[str, Any]) -> dict[str, Any]:
    prints = apps.get_model("sheets", "Print").objects
    sheet = prints.create(revision=has["first"], kind="setup_sheet", paper="a4", copy=1, at=day(7), by=who["owner"])
    prints.create(revision=has["third"], kind="setup_sheet", paper="letter", copy=1, at=day(31), by=who["helper"])
    prints.create(
        revision=has["third"], before=has["second"], kind="change_card", paper="a4", copy=1, at=day(31), by=who["owner"]
    )
    return {"sheet": sheet}


def fill(apps: Any) -> dict[str, Any]:
    """Rows of every kind; the members and what belongs to the first model by a word each."""
    who = people(apps)
    has = fleet(apps, who)
    has |= history(apps, who, has)
    flying(apps, who, has)
    return {**who, **has, **paper(apps, who, has)}
