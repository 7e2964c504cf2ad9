"""What happens to an airframe of the demo club, each through the operation that a page would use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from hangar.fleet import operations as fleet
from hangar.fleet.checks import failsafe_digest
from hangar.fleet.models import Airframe, Receiver, Transmitter
from hangar.flights import operations as flights
from hangar.flights.reports import open_groundings
from hangar.members.models import Member
from hangar.setups import operations as setups
from hangar.setups.models import Revision
from hangar.sheets import operations as sheets
from mixing import Rig, Setup

from .changes import changed
from .errors import DemoError


@dataclass(frozen=True)
class Scene:
    """Where an event happens: the airframe, its usual transmitter and model memory, and the people."""

    airframe: Airframe
    transmitter: Transmitter
    model_memory: str
    member: Callable[[str | None], Member]
    """The member of a login; the airframe's owner where none is given."""
    first_setup: Callable[[], Setup]
    recorded: list[Revision] = field(default_factory=list)

    def revision(self, number: int) -> Revision:
        if not 1 <= number <= len(self.recorded):
            raise DemoError(f"{self.airframe} has {len(self.recorded)} revisions by then; there is no {number}.")
        return self.recorded[number - 1]

    @property
    def head(self) -> Revision:
        return self.revision(len(self.recorded))


class Happening(BaseModel):
    """An event of a history file."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    at: AwareDatetime
    by: str | None = None

    def happen(self, scene: Scene) -> None:
        raise NotImplementedError


class Record(Happening):
    what: Literal["record"]
    reason: str
    origin: Literal["start", "import", "edit"] = "edit"
    changes: dict[str, Any] = {}

    def happen(self, scene: Scene) -> None:
        head = scene.recorded[-1] if scene.recorded else None
        setup = changed(head.setup if head else scene.first_setup(), self.changes)
        done = setups.record(
            user=scene.member(self.by), airframe=scene.airframe, setup=setup, base=head, reason=self.reason,
            origin=self.origin, now=self.at,
        )  # fmt: skip
        scene.recorded.append(done.revision)


class RollBack(Happening):
    what: Literal["roll_back"]
    to: int
    reason: str

    def happen(self, scene: Scene) -> None:
        done = setups.roll_back(
            user=scene.member(self.by), airframe=scene.airframe, to=scene.revision(self.to), reason=self.reason,
            now=self.at,
        )  # fmt: skip
        scene.recorded.append(done.revision)


class Enter(Happening):
    what: Literal["enter"]
    revision: int

    def happen(self, scene: Scene) -> None:
        setups.enter(
            user=scene.member(self.by), revision=scene.revision(self.revision),
            transmitter=scene.transmitter, model_memory=scene.model_memory, at=self.at,
        )  # fmt: skip


class Flight(Happening):
    what: Literal["flight"]
    revision: int
    load: str
    verdict: str
    pilot: str | None = None
    flown_on: date | None = None
    condition_after: str = "sound"
    wind: str = ""
    observation: str = ""
    reason: str = ""

    def happen(self, scene: Scene) -> None:
        flights.log_flight(
            user=scene.member(self.by), revision=scene.revision(self.revision),
            flown_on=self.flown_on or self.at.date(), pilot=scene.member(self.pilot or self.by), load=self.load,
            verdict=self.verdict, condition_after=self.condition_after, wind=self.wind, observation=self.observation,
            reason=self.reason, now=self.at,
        )  # fmt: skip


class Fit(Happening):
    what: Literal["fit"]
    receiver: str

    def happen(self, scene: Scene) -> None:
        receiver = Receiver.objects.get(label=self.receiver)
        fleet.fit(user=scene.member(self.by), receiver=receiver, airframe=scene.airframe, at=self.at)


class Bind(Happening):
    what: Literal["bind"]

    def happen(self, scene: Scene) -> None:
        fleet.bind(user=scene.member(self.by), airframe=scene.airframe, transmitter=scene.transmitter, at=self.at)


class CheckMade(Happening):
    what: Literal["check"]
    kind: str
    passed: bool
    note: str = ""

    def happen(self, scene: Scene) -> None:
        fleet.record_check(
            user=scene.member(self.by), airframe=scene.airframe, kind=self.kind, transmitter=scene.transmitter,
            failsafe_digest=failsafe_digest(scene.head.setup), passed=self.passed, note=self.note, at=self.at,
        )  # fmt: skip


class WorkDone(Happening):
    what: Literal["work"]
    kind: str
    note: str
    surface: str = ""

    def happen(self, scene: Scene) -> None:
        flights.record_work(
            user=scene.member(self.by), airframe=scene.airframe, kind=self.kind, note=self.note, surface=self.surface,
            at=self.at,
        )  # fmt: skip


class Balanced(Happening):
    what: Literal["balance"]
    revision: int
    load: str
    cg_mm: float
    mass_g: float | None = None

    def happen(self, scene: Scene) -> None:
        flights.record_balance_check(
            user=scene.member(self.by), revision=scene.revision(self.revision), load=self.load, cg_mm=self.cg_mm,
            mass_g=self.mass_g, at=self.at,
        )  # fmt: skip


class ReadThrow(BaseModel):
    """One throw that was read with the ruler."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    surface: str
    positions: dict[str, float]
    phase: str | None = None
    measured_mm: float

    def against(self, rig: Rig) -> flights.Read:
        """With what the rig says for the same positions."""
        predicted = float(rig.at(self.positions, phase=self.phase).throw_mm[self.surface])
        return flights.Read(self.surface, self.positions, predicted, self.measured_mm, self.phase or "")


class ThrowsRead(Happening):
    what: Literal["throw_check"]
    revision: int
    readings: tuple[ReadThrow, ...]
    note: str = ""

    def happen(self, scene: Scene) -> None:
        revision = scene.revision(self.revision)
        rig = Rig(revision.setup)
        flights.record_throw_check(
            user=scene.member(self.by), revision=revision, readings=[one.against(rig) for one in self.readings],
            note=self.note, at=self.at,
        )  # fmt: skip


class Printed(Happening):
    """The sheet for the flight box."""

    what: Literal["print"]
    revision: int

    def happen(self, scene: Scene) -> None:
        sheets.record_print(user=scene.member(self.by), revision=scene.revision(self.revision), now=self.at)


class Ground(Happening):
    what: Literal["ground"]
    reason: str
    second_person: bool = False

    def happen(self, scene: Scene) -> None:
        flights.ground(
            user=scene.member(self.by), airframe=scene.airframe, reason=self.reason, second_person=self.second_person,
            at=self.at,
        )  # fmt: skip


class Release(Happening):
    """The oldest grounding that is still open ends."""

    what: Literal["release"]
    reason: str

    def happen(self, scene: Scene) -> None:
        grounding = open_groundings(scene.airframe).order_by("since", "pk").first()
        if grounding is None:
            raise DemoError(f"{scene.airframe} is not grounded on {self.at:%Y-%m-%d}; there is nothing to release.")
        flights.release(user=scene.member(self.by), grounding=grounding, reason=self.reason, at=self.at)


Event = Annotated[
    Record
    | RollBack
    | Enter
    | Flight
    | Fit
    | Bind
    | CheckMade
    | WorkDone
    | Balanced
    | ThrowsRead
    | Printed
    | Ground
    | Release,
    Field(discriminator="what"),
]
