"""The block for instruction: two transmitters, what is handed over, and every direction proven from both."""

import re

from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets.models import Print
from hangar.sheets.spacings import SPACINGS
from mixing import audit

from . import layouts
from .rendering import html_of, render, text_of, words_of


def test_every_direction_is_proven_from_both_transmitters() -> None:
    setup = layouts.vee_tail()
    block = html_of(setup, SPACINGS[0], instruction=True)
    table = block[block.index("Direction proven from") :]
    table = table[: table.index("</table>")]
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</th>(.*?)</tr>", table, flags=re.DOTALL)
    told = [re.sub(r"<[^>]+>", "", name) for name, _ in rows]
    assert [line.partition(":")[0] for line in told[:4]] == [
        "Aileron stick right", "Elevator stick back", "Rudder stick right", "Left lever back",
    ]  # fmt: skip
    assert all(boxes.count("☐") == 2 for _, boxes in rows[:-2])
    assert "Taken back at once" in told[-2]


def test_both_stick_modes_and_what_is_handed_over() -> None:
    shown = words_of(render(layouts.vee_tail(), instruction=True).content).replace(" ", "")
    assert "Instructor’stransmitter,stickmode☐1☐2☐3☐4" in shown
    assert "Pupil’s,stickmode☐1☐2☐3☐4" in shown
    assert "Handedover:☐Aileronstick☐Elevatorstick☐Rudderstick☐Leftlever☐Phaseswitch" in shown


def test_what_it_adds_goes_on_a_second_page_before_anything_is_cut() -> None:
    setup = layouts.eight_surfaces()
    made = render(setup, findings=audit(setup), instruction=True)
    shown = text_of(made.content)
    for told in ("Directions, in this order", "Pupil’s transmitter switched off", "Channels", "Balance", "Notes"):
        assert told in shown


def test_it_is_asked_for_and_kept_with_the_copy(client: Client, owner: Member, first: Revision) -> None:
    client.force_login(owner)
    address = reverse("sheets:print_sheet", args=[first.airframe.slug, 1])
    with_block = client.post(address, {"paper": "a4", "instruction": "1"})["Location"]
    without = client.post(address, {"paper": "a4"})["Location"]
    assert [one.instruction for one in Print.objects.order_by("copy")] == [True, False]
    assert "Handed over" in words_of(client.get(with_block).content)
    assert "Handed over" not in words_of(client.get(without).content)
