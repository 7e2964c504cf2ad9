"""What was written on the day before: in German and inches, edit by edit."""

from typing import Any

from hangar.setups.steps import pack
from tests.factories import make_setup

from .first_spring import day
from .second_year import BASE


def fill(apps: Any) -> None:
    member, draft = apps.get_model("members.Member").objects, apps.get_model("setups.Draft").objects
    member.filter(login="owner").update(language="de", length_unit="inch")
    edited = draft.select_related("base__document").get(member__login="instructor")
    for number, remark in enumerate(("", "One.", "Two.")):
        apps.get_model("setups.DraftStep").objects.create(
            draft=edited, number=number, packed=pack(make_setup(remarks=remark).text(), edited.base.document.text)
        )
    draft.filter(pk=edited.pk).update(at=1, text=make_setup(remarks="One.").text(), version=3)
    revision = apps.get_model("setups.Revision").objects.get(airframe__slug="grosse-moewe", number=3)
    by = member.get(login="owner")
    apps.get_model("sheets.Print").objects.create(
        revision=revision, kind="pocket_card", paper="a4", copy=1, language="de", length_unit="inch", token="p" * 22,
        at=day(900), by=by,
    )  # fmt: skip
    apps.get_model("sheets.Batch").objects.create(
        by=by, at=day(901), what="one sheet", paper="a4", language="de", length_unit="inch", base=BASE
    )
    apps.get_model("flights.Grounding").objects.create(
        airframe=revision.airframe, since=day(902), by=by, cause="rebuild", reason="a new tail", second_person=True
    )
