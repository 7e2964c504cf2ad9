"""What keeps tests from running across midnight: it waits in the last minute of a day, and never else."""

import datetime

import pytest

from tests import midnight


@pytest.mark.parametrize(
    ("clock", "seconds"),
    [("23:58:59", 0), ("23:59:00", 60), ("23:59:59.5", 0.5), ("00:00:00", 0), ("00:00:30", 0), ("12:00:00", 0)],
)
@pytest.mark.parametrize("day", ["2026-12-31", "2028-02-28", "2026-05-01"])
def test_it_waits_for_the_new_day(monkeypatch: pytest.MonkeyPatch, day: str, clock: str, seconds: float) -> None:
    slept: list[float] = []
    monkeypatch.setattr("tests.midnight.time.sleep", slept.append)
    midnight.pass_by(datetime.datetime.fromisoformat(f"{day}T{clock}+00:00"))
    assert slept == ([seconds + 0.1] if seconds else [])
