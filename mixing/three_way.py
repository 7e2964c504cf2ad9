"""The order of lists when two sides changed them."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from .places import Place, Values


def joined_order(
    base: Sequence[Place], ours: Sequence[Place], theirs: Sequence[Place], kept: Collection[Place]
) -> list[Place]:
    """The entries that are kept, in the order of the side that changed it (ours where both did); what only the other
    side has comes in behind its neighbour there."""
    first, second = (theirs, ours) if _moved(base, theirs) and not _moved(base, ours) else (ours, theirs)
    if tuple(ours) == tuple(base):
        first, second = theirs, ours
    joined = [place for place in first if place in kept]
    known = set(joined)
    behind = 0
    for place in second:
        if place in known:
            behind = joined.index(place) + 1
        elif place in kept:
            joined.insert(behind, place)
            known.add(place)
            behind += 1
    return joined


def _moved(base: Sequence[Place], side: Sequence[Place]) -> bool:
    """Whether a side put what was there before into another order."""
    return [place for place in base if place in side] != [place for place in side if place in base]


def joined_collections(values: Values, base: Values, ours: Values, theirs: Values) -> Values:
    """The merged values with uses and fades in a joined order, as lists of a document are."""
    collections = dict.fromkeys(place[:-1] for place in values if _is_collected(place))
    result = {place: value for place, value in values.items() if not _is_collected(place)}
    for collection in collections:
        sides = [[place for place in side if place[:-1] == collection] for side in (base, ours, theirs)]
        kept = {place for place in values if place[:-1] == collection}
        result.update({place: values[place] for place in joined_order(sides[0], sides[1], sides[2], kept)})
    return result


def _is_collected(place: Place) -> bool:
    return (place[0] == "couplings" and len(place) == 6) or (place[0] == "controls" and len(place) == 4)
