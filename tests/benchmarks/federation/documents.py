"""Setup documents by the thousand: designs that several airframes share, and what their pilots change of them.

Each comes from one of the starting layouts and stays a sound setup. A canonical text is written by the standard
library's JSON, thirty times as fast as by way of a `Setup`: no number here has a form in which the two differ.
"""

import hashlib
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from mixing import Setup

LAYOUTS = Path(__file__).parents[3] / "fixtures" / "layouts"
PUBLISHED = 4
_REMARKS = (
    "Softer roll for the slope.", "More camber in thermals.", "Trimmed after the long flight.", "As flown in the wind.",
    "Less down in the brake.", "Centre of gravity moved forward.", "Winter setting.", "Set up anew on the bench.",
)  # fmt: skip


class Text(NamedTuple):
    """A document as it is stored."""

    digest: str
    text: str


def stored(data: dict[str, Any]) -> Text:
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return Text(hashlib.sha256(text.encode()).hexdigest(), text)


def layouts() -> list[str]:
    """The starting layouts as canonical texts."""
    files = sorted(path for path in LAYOUTS.glob("*.json") if path.name != "index.json")
    return [Setup.from_text(path.read_bytes()).text() for path in files]


def changed(chance: random.Random, text: str, note: str) -> Text:
    """The document with some things changed, as between two flights."""
    data = json.loads(text)
    for coupling in chance.sample(data["couplings"], min(len(data["couplings"]), chance.choice((1, 1, 2)))):
        factor = chance.choice((0.85, 0.9, 0.95, 1.05, 1.1))
        ends = [round(max(-100, min(100, factor * travel))) for _, travel in coupling["stations"]]
        coupling["stations"] = [[at, end] for (at, _), end in zip(coupling["stations"], ends, strict=True)]
        if chance.random() < 0.3:
            coupling["expo_pct"] = chance.randrange(0, 45, 5)
    for surface in data["surfaces"]:
        if chance.random() < 0.1:
            surface["chord_mm"] = max(20, round(surface["chord_mm"]) + chance.choice((-1, 1)))
    if chance.random() < 0.2:
        data["balance"]["loads"][0]["mass_g"] = chance.randrange(600, 6000, 10)
    _failsafe(chance, data)
    data["remarks"] = note
    return stored(data)


def _failsafe(chance: random.Random, data: dict[str, Any]) -> None:
    """Now and then a motor's failsafe is lost, and set again later: the audit warns in between."""
    for channel in data["channels"]:
        if channel["failsafe"] == -100 and chance.random() < 0.04:
            channel["failsafe"] = "last_position"
        elif channel["failsafe"] == "last_position" and chance.random() < 0.5:
            channel["failsafe"] = -100


class Design:
    """One type of model of which many are flown: a first setup that all share, and later ones that were handed on."""

    def __init__(self, chance: random.Random, base: str, name: str) -> None:
        self.name = name
        self.published = [changed(chance, base, f"{name}, as designed.")]
        while len(self.published) < PUBLISHED:
            self.published.append(changed(chance, self.published[-1].text, f"{name}, handed on by its club."))


def designs(chance: random.Random, names: list[str]) -> list[Design]:
    bases = layouts()
    return [Design(chance, chance.choice(bases), name) for name in names]


def chain(chance: random.Random, design: Design, length: int) -> Iterator[tuple[Text, str]]:
    """(document, origin) of each revision of one airframe: its own changes, what others handed on, and ways back."""
    past = [design.published[0]]
    for number in range(1, length + 1):
        if number == 1:
            yield past[0], "start"
            continue
        kind, head = chance.random(), past[-1]
        if kind < 0.2 and number > 2 and past[-2].digest != head.digest:
            found, origin = past[-2], f"rollback of {number - 2}"
        elif kind < 0.4 and (handed := chance.choice(design.published)).digest != head.digest:
            found, origin = handed, "import"
        else:
            found, origin = (
                changed(chance, head.text, f"{chance.choice(_REMARKS)} No. {chance.randrange(10**9)}"),
                "edit",
            )
        past.append(found)
        yield found, origin
