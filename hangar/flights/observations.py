"""From what a flight showed to a proposal: a compensation curve, or a home for a trim. Every figure is mixing's."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hangar.setups.findings import findings
from hangar.setups.matrix import Difference, differences
from mixing import Finding, Setup, SetupError, calibrate, trim
from mixing.document import Control, Surface
from mixing.purposes import PITCH
from mixing.solve import SolveError, with_response

PAIRED = frozenset({"elevon", "flaperon", "ruddervator", "ruddervator_inverted"})
TRIMMED = PITCH | {"aileron", "flaperon", "rudder"}


@dataclass(frozen=True)
class Proposal:
    """A setup that an observation leads to: what changes in the phase in which it was flown and in the others, what is
    not known, and what the audit finds that it did not find before."""

    setup: Setup
    throws: list[Difference]
    elsewhere: list[Difference]
    unknown: tuple[str, ...]
    new_findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Home:
    """One of the places where a trim can go. `proposal` is None where it cannot, and `refused` says why."""

    key: str
    title: str
    words: str
    proposal: Proposal | None
    refused: str = ""


def proposal(before: Setup, after: Setup, phase: str | None, unknown: tuple[str, ...] = ()) -> Proposal:
    known = {finding.text for finding in findings(before)}
    worse = tuple(one for one in findings(after) if one.severity != "note" and one.text not in known)
    found = differences(before, after, first=phase)
    flown = [one for one in found if one.phase == found[0].phase]
    return Proposal(after, flown, [one for one in found if one not in flown], unknown, worse)


def span(control: Control) -> tuple[float, float]:
    """Where a brake lever is stowed, and where it acts fully."""
    use = control.use("brake")
    full = use.full if use is not None else control.ends[1]
    return (control.rest if control.rest != full else -full), full


def braking(setup: Setup) -> list[Control]:
    """The controls that can need a compensation: brakes first, then whatever else moves a surface but the pitch."""
    used = {coupling.control for coupling in setup.couplings}
    others = [c for c in setup.controls if c.key in used and c.positions is None and not c.use("pitch")]
    return sorted(others, key=lambda control: control.use("brake") is None)


def pitching(setup: Setup) -> dict[str, list[Surface]]:
    """The surfaces that hold the nose, by role: one elevator, or both elevons or panels together."""
    found: dict[str, list[Surface]] = {}
    for surface in setup.surfaces:
        if surface.role in PITCH:
            found.setdefault(surface.role, []).append(surface)
    return found


def compensated(
    setup: Setup,
    *,
    control: str,
    surfaces: Sequence[Surface],
    observations: Sequence[tuple[float, float]],
    phase: str | None,
) -> Proposal:
    """With what was needed added to the throws that these surfaces have along the control.

    `observations` are (position [%], throw needed in addition [mm]). Raises CalibrationError, SolveError, SetupError.
    """
    wanted = calibrate.compensation(observations, stowed=span(setup.control(control))[0])
    after, done = setup, set[int]()
    for surface in surfaces:
        if surface.channel in done:
            continue
        done.add(surface.channel)
        response = calibrate.compensated(setup, control, surface.key, wanted, phase=phase)
        after = with_response(after, control, surface.key, response, phase=phase)
    return proposal(setup, after, phase, wanted.unknown)


def trimmed(setup: Setup) -> list[Surface]:
    """The surfaces that a trim of pitch, roll or yaw can move."""
    return [surface for surface in setup.surfaces if surface.role in TRIMMED]


def pairs(setup: Setup) -> list[tuple[Surface, Surface]]:
    """Left and right surfaces with two jobs each: pitch and roll, or pitch and yaw."""
    lefts = [one for one in setup.surfaces if one.role in PAIRED and one.side == "left"]
    return [
        (left, right)
        for left in lefts
        for right in setup.surfaces
        if (right.role, right.side, right.pair) == (left.role, "right", left.pair)
    ]


def part_of(setup: Setup, trims: Mapping[str, float], part: str) -> dict[str, float]:
    """Of the trims of paired surfaces all, only what both do ("together") or only what they do against each other."""
    found = dict(trims)
    for left, right in pairs(setup):
        both = trim.split(left_mm=trims.get(left.key, 0.0), right_mm=trims.get(right.key, 0.0))
        if part == "together":
            found |= {left.key: both.together_mm, right.key: both.together_mm}
        elif part == "against":
            found |= {left.key: -both.against_mm, right.key: both.against_mm}
    return {key: value for key, value in found.items() if value}


def homes(setup: Setup, trims: Mapping[str, float], phase: str | None) -> list[Home]:
    """The three places where a trim can go, with what each changes."""
    return list(_homes(setup, trims, phase))


def _homes(setup: Setup, trims: Mapping[str, float], phase: str | None) -> Iterator[Home]:
    def home(key: str, title: str, words: str, make: Callable[[], Setup]) -> Home:
        try:
            return Home(key, title, words, proposal(setup, make(), phase))
        except (SolveError, SetupError) as error:
            text = str(error.problems[0]) if isinstance(error, SetupError) else str(error)
            return Home(key, title, words, None, text)

    yield home(
        "clevis", _("Turn the clevis"),
        _("At the model: the pushrod gets another length until the surface stands there with the trim at centre. "
          "Holds in every phase; travel to both sides stays as it is on the transmitter. Measure the throws again."),
        lambda: trim.by_clevis(setup, trims, phase=phase),
    )  # fmt: skip
    yield home(
        "centre", _("Move the channel's centre"),
        _("On the transmitter, in every phase. The limits stay where they are, so one side comes nearer to its limit."),
        lambda: trim.by_centre(setup, trims, phase=phase),
    )  # fmt: skip
    if phase is not None:
        label = next(one.label for one in setup.phases if one.key == phase)
        yield home(
            "stance", _("Change the stance of {phase}").format(phase=label),
            _("On the transmitter, in this phase only: for a trim that only this phase needs."),
            lambda: trim.by_stance(setup, trims, phase=phase),
        )  # fmt: skip
