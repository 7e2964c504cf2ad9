"""A common way to set up a landing brake, entered through the site alone. Common practice, no source.

One lever leaves the flaps level at the top and lowers them fully at the bottom; its lower half alone raises the
ailerons by 30 %; a little down elevator goes with it; the motor runs in the top quarter only. Seven channels, and then
six with both flaps on a Y-lead.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig
from tests.browser.conftest import fits, next_page

pytestmark = pytest.mark.django_db(transaction=True)

CHANNELS = ["Right aileron", "Left aileron", "Motor", "Elevator", "Rudder", "Right flap", "Left flap"]
SURFACES = [
    # label, role, side, channel
    ("Right aileron", "aileron", "right", "1"),
    ("Left aileron", "aileron", "left", "2"),
    ("Elevator", "elevator", "centre", "4"),
    ("Rudder", "rudder", "centre", "5"),
    ("Right flap", "flap", "right", "6"),
    ("Left flap", "flap", "left", "7"),
]


class Pilot:
    """What a member does on the pages of one airframe."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.top = re.sub(r"(/airframes/[^/]+/).*", r"\1", page.url)

    def open(self, place: str) -> None:
        # What is still on its way would overtake the draft of the page that comes.
        expect(self.page.locator("form.htmx-request")).to_have_count(0)
        self.page.goto(self.top + place)
        assert fits(self.page), place

    def fill(self, **boxes: str) -> None:
        for name, text in boxes.items():
            self.page.locator(f"[name={name}]").fill(text)

    def choose(self, **lists: str) -> None:
        for name, value in lists.items():
            self.page.locator(f"select[name={name}]").select_option(value)

    def keep(self) -> None:
        with next_page(self.page):
            self.page.get_by_role("button", name="Keep in the draft").click()
        expect(self.page.locator(".error")).to_have_count(0)

    def coupling(self, control: str, channel: int) -> None:
        self.open(f"draft/throws/coupling/?control={control}&channel={channel}&phase=")

    def stations(self, *stations: tuple[str, str]) -> None:
        """Type stations into the rows, with more rows where they are needed, and work them out."""
        while self.page.locator("[name^=x_]").count() < len(stations):
            with next_page(self.page):
                self.page.get_by_role("button", name="More stations").click()
        for row in range(self.page.locator("[name^=x_]").count()):
            x, travel = stations[row] if row < len(stations) else ("", "")
            self.fill(**{f"x_{row}": x, f"travel_{row}": travel})
        self.page.get_by_role("button", name="Work it out").click()

    def slope(self, slope: str, middle: str) -> None:
        self.fill(slope=slope, middle=middle)
        self.page.get_by_role("button", name="Take slope and middle").click()

    def at_ends(self, *told: str) -> None:
        """What the page says of each end of the control, the low end first."""
        ends = self.page.locator(".ends .list > li")
        expect(ends).to_have_count(len(told))
        for place, words in enumerate(told):
            expect(ends.nth(place)).to_contain_text(re.compile(r"\s*".join(map(re.escape, words.split()))))


@pytest.fixture
def pilot(airframe: Airframe, nora: Member, signed_in: Page) -> Pilot:
    """Someone who has started an empty setup and entered what the model has."""
    signed_in.get_by_role("link", name="Big Glider", exact=True).first.click()
    signed_in.get_by_role("link", name="Start a setup").click()
    with next_page(signed_in):
        signed_in.get_by_role("button", name="Start empty").click()
    pilot = Pilot(signed_in)
    pilot.open("draft/one/balance/")
    pilot.fill(cg_datum="wing root leading edge", cg_low_mm="90", cg_high_mm="102")
    pilot.fill(label_0="Small battery", mass_0="2260", cg_0="99")
    pilot.keep()
    pilot.open("draft/controls/new/")
    pilot.fill(label="Lever", plus="forward", rest="0")
    pilot.choose(kind="lever", purpose_0="brake", full_0="-100", purpose_1="power", full_1="100")
    pilot.keep()
    for number, label in enumerate(CHANNELS, 1):
        pilot.open("draft/channels/new/")
        pilot.fill(number=str(number), label=label)
        if label == "Motor":
            pilot.choose(failsafe="travel")
            pilot.fill(failsafe_pct="−100")
        pilot.keep()
    for label, role, side, channel in SURFACES:
        pilot.open("draft/surfaces/new/")
        pilot.fill(label=label, chord_mm="40", stop_up_deg="80", stop_down_deg="80")
        pilot.choose(role=role, side=side, channel=channel)
        pilot.page.get_by_text("measured with a ruler at known pulses").click()
        right, left = ("20 right", "20 left") if role == "rudder" else ("20 up", "20 down")
        pilot.fill(points=f"1000 {right}\n1500 0\n2000 {left}")
        pilot.keep()
    pilot.open("draft/devices/new/")
    pilot.fill(label="Motor")
    pilot.choose(kind="electric_motor", channel="3")
    pilot.keep()
    return pilot


def enter_everything_but_the_flaps(pilot: Pilot) -> None:
    # Ailerons up by 30 %, by the lower half of the lever only. 30 % of 20 mm are 6 mm.
    for channel, label in ((1, "Right aileron"), (2, "Left aileron")):
        pilot.coupling("lever", channel)
        pilot.stations(("−100", "−30"), ("0", "0"), ("100", "0"))
        pilot.at_ends(f"travel −30 % {label} ↑ 6.0 mm up", f"travel 0 % {label} 0 mm")
    # 5 % of down elevator with it: 1 mm.
    pilot.coupling("lever", 4)
    pilot.stations(("−100", "5"), ("0", "0"), ("100", "0"))
    pilot.at_ends("travel 5 % Elevator ↓ 1.0 mm down", "travel 0 % Elevator 0 mm")
    # The motor in the top quarter only, by five evenly spaced stations.
    pilot.coupling("lever", 3)
    pilot.stations(("−100", "−100"), ("−50", "−100"), ("0", "−100"), ("50", "−100"), ("100", "100"))
    pilot.at_ends("travel −100 % Motor off", "travel 100 % Motor 100 % on")
    gives = pilot.page.locator(".stations .gives")
    for row in range(4):
        expect(gives.nth(row)).to_have_text("off")
    expect(gives.nth(4)).to_contain_text("100 %")


def test_seven_channels(pilot: Pilot, nora: Member) -> None:
    # Flaps level at the top and fully down at the bottom: slope 50, middle −50, on channels where minus is down.
    for place, channel in ((4, 6), (5, 7)):
        pilot.open(f"draft/surfaces/{place}/")
        pilot.fill(points="1000 20 down\n1500 0\n2000 20 up")
        pilot.keep()
        pilot.coupling("lever", channel)
        pilot.slope("50", "−50")
        label = CHANNELS[channel - 1]
        pilot.at_ends(f"travel −100 % {label} ↓ 20.0 mm down", f"travel 0 % {label} 0 mm")
    enter_everything_but_the_flaps(pilot)
    pilot.open("draft/throws/")
    for surface, told in (("right_aileron", "6.0 mm up"), ("elevator", "1.0 mm down"), ("left_flap", "20.0 mm down")):
        expect(pilot.page.locator(f"#t-lever-0-{surface}")).to_have_value(told)
    pilot.open("draft/")
    pilot.fill(reason="Brake on the lever, motor in its top quarter")
    pilot.page.get_by_role("button", name="Record a revision").click()
    expect(pilot.page.get_by_role("status")).to_contain_text("Revision 1 is recorded.")
    setup = Revision.objects.get().setup
    assert len(setup.channels) == 7
    frame = Rig(setup).at({"lever": [-100, -50, 0, 50, 75, 100]})
    assert frame.level_pct["motor"].round(6).tolist() == [0, 0, 0, 0, 50, 100]
    assert frame.throw_mm["right_flap"].round(6).tolist() == [20, 15, 10, 5, 2.5, 0]
    assert frame.throw_mm["left_aileron"].round(6).tolist() == [-6, -3, 0, 0, 0, 0]


def test_a_slope_of_thirty_is_not_thirty_percent(pilot: Pilot, nora: Member) -> None:
    """Entered in the hope of 30 % at one end: the page shows 60 % there, and none at the other."""
    pilot.coupling("lever", 6)
    pilot.slope("30", "30")
    pilot.at_ends("travel 0 % Right flap 0 mm", "travel 60 % Right flap ↓ 12.0 mm down")
    assert Draft.objects.get(member=nora).setup.couplings[0].stations == ((-100, 0), (100, 60))


def test_six_channels_with_the_flaps_on_a_y_lead(pilot: Pilot, nora: Member) -> None:
    pilot.open("draft/surfaces/5/")
    pilot.choose(channel="6")
    pilot.keep()
    pilot.open("draft/channels/")
    with next_page(pilot.page):
        pilot.page.get_by_role("button", name="Remove Left flap").click()
    pilot.coupling("lever", 6)
    expect(pilot.page.get_by_role("heading", level=1)).to_have_text("Lever → Right flap + Left flap")
    pilot.slope("−50", "50")
    pilot.at_ends(
        "travel 100 % Right flap ↓ 20.0 mm down Left flap ↓ 20.0 mm down", "travel 0 % Right flap 0 mm Left flap 0 mm"
    )
    enter_everything_but_the_flaps(pilot)
    pilot.open("draft/")
    pilot.fill(reason="Both flaps on a Y-lead, for a receiver of six channels")
    pilot.page.get_by_role("button", name="Record a revision").click()
    expect(pilot.page.get_by_role("status")).to_contain_text("Revision 1 is recorded.")
    expect(pilot.page.locator("#channels")).to_contain_text("Y-lead with Left flap")
    setup = Revision.objects.get().setup
    assert [channel.number for channel in setup.channels] == [1, 2, 3, 4, 5, 6]
    frame = Rig(setup).at({"lever": -100})
    assert [round(float(frame.throw_mm[key]), 6) for key in ("right_flap", "left_flap")] == [20, 20]


def test_who_comes_to_a_box_types_over_what_stands_in_it_though_it_is_drawn_anew(pilot: Pilot) -> None:
    pilot.coupling("lever", 4)
    page = pilot.page
    page.locator("[name=travel_0]").fill("6")
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.locator("[name=x_1]").select_text()
    # The boxes are drawn anew: 20 ms later the library gives them their attributes.
    expect(page.locator("form.htmx-request")).to_have_count(0)
    expect(page.locator(".htmx-settling, .htmx-swapping, .htmx-added")).to_have_count(0)
    page.keyboard.type("20")
    expect(page.locator("[name=x_1]")).to_have_value("20")
