"""The files under fixtures/demo, read strictly: a mistake in one is told with its place."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar

from django.conf import settings
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from mixing import Setup

from .errors import DemoError
from .events import Event, Record

FOLDER: Path = settings.BASE_DIR / "fixtures" / "demo"
P = TypeVar("P", bound="File")


class File(BaseModel):
    """A piece of a file: nothing unknown, nothing missing."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class DemoMember(File):
    login: str
    name: str
    role: Literal["pilot", "instructor", "secretary"]
    joined_on: date
    operator_number: str = ""
    licence_expires_on: date | None = None
    throw_unit: Literal["mm", "deg", "travel"] = "mm"
    paper: Literal["a4", "letter"] = "a4"
    left: bool = False
    """Left the club, and had the name erased."""


class Signs(File):
    """What the five-minute test of a transmitter showed."""

    on: date
    lever_forward: str
    expo_positive: str
    centre_unit: str
    reversal: str


class DemoTransmitter(File):
    label: str
    owner: str | None
    stick_mode: int
    figures: dict[str, float | int | bool]
    signs: Signs | None = None


class DemoReceiver(File):
    label: str
    channels: int
    note: str = ""
    retired: bool = False
    """Retired in the end: it may have flown before."""
    thought: int | None = None
    """How many channels it was thought to have, until someone counted them in the end."""


class DemoMassBand(File):
    label: str
    from_g: float
    asks: str = ""
    weight: str


class Club(File):
    name: str
    password: str
    showpiece: str
    rules: dict[str, bool | str] = {}
    mass_bands: tuple[DemoMassBand, ...] = ()
    members: tuple[DemoMember, ...]
    transmitters: tuple[DemoTransmitter, ...]
    receivers: tuple[DemoReceiver, ...]

    @property
    def secretary(self) -> DemoMember:
        return next(member for member in self.members if member.role == "secretary")


class History(File):
    """One airframe, and everything that happened to it, the oldest first."""

    slug: str
    name: str
    span_mm: int
    wing_area_dm2: str
    mark: str
    mark_place: str
    status: Literal["airworthy", "building", "resting", "retired"]
    owner: str
    helpers: tuple[str, ...] = ()
    transmitter: str
    model_memory: str
    events: Annotated[tuple[Event, ...], Field(min_length=1)]

    @property
    def first_reason(self) -> str:
        return next(event.reason for event in self.events if isinstance(event, Record))

    @property
    def fields(self) -> dict[str, Any]:
        """What the airframe itself says."""
        return self.model_dump(include={"name", "span_mm", "wing_area_dm2", "mark", "mark_place", "status"})


def read_club() -> Club:
    return _read(Club, FOLDER / "club" / "club.json")


def read_histories() -> tuple[History, ...]:
    """Every airframe's history, by slug."""
    return tuple(read_history(path.stem) for path in sorted((FOLDER / "histories").glob("*.json")))


def read_history(slug: str) -> History:
    return _read(History, FOLDER / "histories" / f"{slug}.json")


def first_setup(slug: str) -> Setup:
    """The document of an airframe's first revision. Raises SetupError of mixing."""
    return Setup.from_text((FOLDER / f"{slug}.json").read_text(encoding="utf-8"))


def _read(model: type[P], path: Path) -> P:
    try:
        return model.model_validate_json(path.read_bytes())
    except (OSError, ValidationError) as error:
        raise DemoError(f"The demo club cannot be read from {path}: {error}") from error
