"""Every model that the page for a new airframe lets one put together."""

from collections.abc import Iterator
from itertools import product

from hangar.setups.shapes import EXTRAS, NOSES, TAILS, VEES, WINGS, Shape

NO_OR_YES = (False, True)
EQUIPMENT = [
    {"nose": nose, **dict(zip(EXTRAS, extras, strict=True))}
    for nose in NOSES
    for extras in product(NO_OR_YES, repeat=len(EXTRAS))
]
"""Every motor with everything that can be on board beside it."""


def bodies(wing: str, tail: str) -> Iterator[Shape]:
    """Every shape with that wing and tail that the page accepts, without motor and extras; none twice."""
    for inner, outer, lead, spoilers, crow, rudder in product(NO_OR_YES, repeat=6):
        shape = Shape(
            wing=wing, tail=tail, inner_flaps=inner, outer_flaps=outer, flap_lead=lead, spoilers=spoilers, crow=crow,
            rudder=rudder,
        )  # fmt: skip
        says_nothing_more = (lead and not shape.flaps) or (tail in VEES and not rudder)
        if not says_nothing_more and not shape.problems():
            yield shape


PLACES = list(product(WINGS, TAILS))
