"""The club's own rules, held against one model: what is missing, and whether it makes the model "look first"."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from hangar.fleet.models import Airframe, Asked, ClubRules, MassBand
from hangar.languages.kept import Kept, kept


@dataclass
class AskedOfIt:
    """What the club's rules are held against: the mark that was seen on the model, and its mass as weighed by load."""

    rules: ClubRules
    bands: Sequence[MassBand] = ()
    mark_seen: str | None = None
    masses: dict[str, float] = field(default_factory=dict)

    @property
    def mass_g(self) -> float | None:
        """Its flying mass as weighed, with the heaviest of the loads that it was weighed with."""
        return max(self.masses.values(), default=None)

    @property
    def band(self) -> MassBand | None:
        """The club's mass band in which it flies; None below the first, and where it was not weighed."""
        mass = self.mass_g
        return next((band for band in reversed(self.bands) if mass is not None and mass >= band.from_g), None)

    def missing(self, airframe: Airframe, weight: str) -> list[Kept]:
        """What the rules of one weight find missing, or worth a look."""
        return [told for found, told in self._found(airframe) if found == weight]

    def _found(self, airframe: Airframe) -> Iterator[tuple[str, Kept]]:
        if not airframe.mark:
            yield self.rules.mark, kept("no-mark")
        if not airframe.mark or self.mark_seen != airframe.mark:
            yield self.rules.mark_seen, kept("mark-not-seen")
        if self.mass_g is None:
            yield self.rules.mass_weighed, kept("not-weighed")
        elif (band := self.band) is not None and band.weight != Asked.OFF:
            yield band.weight, kept("in-band", mass_g=self.mass_g, band=band.label, asks=band.asks)
