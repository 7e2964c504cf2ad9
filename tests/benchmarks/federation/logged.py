"""What is logged of a federation's airframes: receivers and checks, flights, work, readings, what was printed."""

import random
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from hangar.fleet.checks import failsafe_digest
from hangar.fleet.models import Binding, Check, CheckKind, Fitting, MarkSeen, Receiver, Transmitter
from hangar.flights.models import BalanceCheck, Cause, Flight, Grounding, Reading, ThrowCheck, Work, WorkKind
from hangar.setups.models import Document, Entered, Revision
from hangar.setups.parsed import parsed
from hangar.sheets.models import Kind, LostCopy, Print

from .histories import Grown
from .people import UNTIL, insert

_SEEN = (
    "turns in faster",
    "sinks less in the brake",
    "nose drops in the turn",
    "steady in the wind",
    "climbs straight",
)
_DONE = {
    WorkKind.SERVO: "new servo", WorkKind.HORN: "horn moved by a hole", WorkKind.HINGE: "hinge line sealed",
    WorkKind.RECEIVER: "aerial laid anew", WorkKind.REPAIR: "fuselage mended", WorkKind.OTHER: "battery tray moved",
}  # fmt: skip


class Logbook:
    """Everything of some airframes at a time; how many flights each gets is told from outside."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.receivers = Receiver.objects.count()

    def log(self, grown: list[Grown], flights: list[int]) -> None:
        heads = {one.revisions[-1].document_id for one in grown}
        texts = dict(Document.objects.filter(digest__in=heads).values_list("digest", "text"))
        used = {id(one): self.chance.choice(one.club.transmitters) for one in grown}
        self._receivers(grown, used, {digest: failsafe_digest(parsed(text)) for digest, text in texts.items()})
        for model, rows in (
            (Entered, [row for one in grown for row in self._entered(one, used[id(one)])]),
            (Flight, [row for one, count in zip(grown, flights, strict=True) for row in self._flown(one, count)]),
            (Work, [row for one in grown for row in self._worked(one)]),
            (Grounding, [row for one in grown for row in self._grounded(one)]),
            (BalanceCheck, [row for one in grown for row in self._balanced(one)]),
            (MarkSeen, [self._seen(one) for one in grown if self.chance.random() < 0.5]),
        ):
            insert(model, rows)
        self._read(grown, {digest: [s.key for s in parsed(text).surfaces] for digest, text in texts.items()})
        self._printed(grown)

    def _since(self, one: Grown) -> datetime:
        """Any time while the airframe was here."""
        added = one.airframe.added_at
        return added + self.chance.random() * (UNTIL - added)

    def _receivers(self, grown: list[Grown], used: dict[int, Transmitter], failsafes: dict[str, str]) -> None:
        fitted = [one for one in grown if self.chance.random() < 0.92]
        first = self.receivers + 1
        spare = max(1, len(grown) // 7)
        self.receivers += len(fitted) + spare
        receivers = insert(Receiver, [
            Receiver(label=f"R{first + n}", channels=self.chance.choice((6, 8, 8, 12, 16)),
                     status="in_use" if n < len(fitted) else self.chance.choice(("spare", "spare", "retired")))
            for n in range(len(fitted) + spare)
        ])  # fmt: skip
        pairs = [(one, receiver, self._since(one)) for one, receiver in zip(fitted, receivers, strict=False)]
        before = [
            Fitting(airframe=one.airframe, receiver=self.chance.choice(receivers), by=one.airframe.owner,
                    since=one.airframe.added_at, until=since)
            for one, _, since in pairs if self.chance.random() < 0.4
        ]  # fmt: skip
        fittings = insert(Fitting, [
            *(Fitting(receiver=r, airframe=one.airframe, since=at, by=one.airframe.owner) for one, r, at in pairs),
            *before,
        ])  # fmt: skip
        insert(Binding, [
            Binding(receiver=r, transmitter=used[id(one)], at=since, by=one.airframe.owner) for one, r, since in pairs
        ])  # fmt: skip
        insert(Check, [
            row for fitting, (one, _, since) in zip(fittings, pairs, strict=False)
            for row in self._checked(one, fitting, since, used[id(one)], failsafes[one.revisions[-1].document_id])
        ])  # fmt: skip

    def _checked(
        self, one: Grown, fitting: Fitting, since: datetime, transmitter: Transmitter, failsafe: str
    ) -> Iterator[Check]:
        for kind in CheckKind.values:
            for _ in range(self.chance.randrange(6)):
                yield Check(
                    kind=kind, fitting=fitting, transmitter=transmitter, failsafe_digest=failsafe,
                    by=one.airframe.owner, at=since + self.chance.random() * (UNTIL - since),
                    passed=self.chance.random() < 0.97,
                )  # fmt: skip

    def _entered(self, one: Grown, transmitter: Transmitter) -> Iterator[Entered]:
        for revision in one.revisions:
            if self.chance.random() < (0.85 if revision is one.revisions[-1] else 0.5):
                yield Entered(
                    revision=revision, transmitter=transmitter, model_memory=f"{one.airframe.pk % 60:02}",
                    at=revision.recorded_at + timedelta(hours=1), by=one.airframe.owner,
                )  # fmt: skip

    def _flown(self, one: Grown, count: int) -> Iterator[Flight]:
        for n in range(count):
            last = n == 0 and self.chance.random() < 0.8
            revision = one.revisions[-1] if last else self.chance.choice(one.revisions)
            at = min(UNTIL, revision.recorded_at + timedelta(days=self.chance.randrange(1, 60)))
            pilot = one.airframe.owner if self.chance.random() < 0.9 else self.chance.choice(one.club.members)
            verdict = self.chance.choice(("keep", "keep", "keep", "tweak", "reject"))
            yield Flight(
                revision=revision, flown_on=at.date(), pilot=pilot, load="flown", verdict=verdict, recorded_at=at,
                wind=self.chance.choice(("", "2 to 4 m/s", "gusty")), by=one.airframe.owner,
                observation=self.chance.choice(_SEEN), reason="" if verdict == "keep" else "to be tried with less",
            )  # fmt: skip

    def _worked(self, one: Grown) -> Iterator[Work]:
        for _ in range(self.chance.choice((0, 1, 1, 2, 3, 6))):
            kind = self.chance.choice(list(_DONE))
            yield Work(
                airframe=one.airframe, kind=kind, at=self._since(one), by=one.airframe.owner, note=_DONE[kind]
            )  # fmt: skip

    def _grounded(self, one: Grown) -> Iterator[Grounding]:
        for _ in range(self.chance.choice((0, 0, 0, 1, 1, 2))):
            since = self._since(one)
            row = Grounding(
                airframe=one.airframe, since=since, by=one.airframe.owner, reason="a crack at the root",
                cause=Cause.REPORTED,
            )  # fmt: skip
            if self.chance.random() < 0.85:
                row.released_at, row.released_by = since + timedelta(days=5), one.club.members[0]
                row.release_reason = "mended and looked at"
            yield row

    def _balanced(self, one: Grown) -> Iterator[BalanceCheck]:
        for _ in range(self.chance.randrange(3)):
            yield BalanceCheck(
                revision=self.chance.choice(one.revisions), load="flown", cg_mm=self.chance.randrange(60, 95),
                mass_g=self.chance.randrange(700, 6000), at=self._since(one), by=one.airframe.owner,
            )  # fmt: skip

    def _seen(self, one: Grown) -> MarkSeen:
        return MarkSeen(airframe=one.airframe, mark=one.airframe.mark, at=self._since(one), by=one.airframe.owner)

    def _read(self, grown: list[Grown], surfaces: dict[str, list[str]]) -> None:
        heads = [one.revisions[-1] for one in grown for _ in range(self.chance.choice((0, 1, 1, 2)))]
        checks = insert(ThrowCheck, [
            ThrowCheck(revision=head, at=head.recorded_at + timedelta(days=1), by=head.airframe.owner) for head in heads
        ])  # fmt: skip
        insert(Reading, [
            Reading(check_of=check, surface=key, positions={}, predicted_mm=0.0,
                    measured_mm=self.chance.randrange(-20, 21) / 20)
            for check, head in zip(checks, heads, strict=True) for key in surfaces[head.document_id]
        ])  # fmt: skip

    def _printed(self, grown: list[Grown]) -> None:
        copies = insert(Print, [row for one in grown for row in self._copies(one)])
        lost = [copy for copy in copies if copy.copy == 2]
        first = {copy.revision_id: copy for copy in copies if copy.copy == 1 and copy.kind == Kind.SETUP_SHEET}
        insert(LostCopy, [
            LostCopy(copy=first[copy.revision_id], replaced_by=copy, at=copy.at, by=copy.by) for copy in lost
        ])  # fmt: skip

    def _copies(self, one: Grown) -> Iterator[Print]:
        count = min(len(one.revisions), self.chance.choice((0, 1, 2, 3, 4, 6)))
        for revision in {one.revisions[-1], *self.chance.sample(one.revisions, count)} if count else ():
            yield self._copy(revision, Kind.SETUP_SHEET, 1)
            if self.chance.random() < 0.1:
                yield self._copy(revision, Kind.SETUP_SHEET, 2)
            if revision.parent_id and self.chance.random() < 0.5:
                yield self._copy(revision, Kind.CHANGE_CARD, 1)

    def _copy(self, revision: Revision, kind: Kind, copy: int) -> Print:
        given: dict[str, Any] = {"before_id": revision.parent_id} if kind == Kind.CHANGE_CARD else {}
        return Print(
            revision=revision, kind=kind, paper="a4", copy=copy, token=f"{self.chance.getrandbits(128):032x}"[:22],
            at=revision.recorded_at + timedelta(days=copy), by=revision.airframe.owner, **given,
        )  # fmt: skip
