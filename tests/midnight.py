"""No test runs across midnight: many write "today" when they begin, and read it on a page a moment later."""

import time
from datetime import datetime, timedelta

# Longer than almost any test takes, also on a busy machine.
NEAR_S = 60


def seconds_to_wait(now: datetime) -> float:
    """Until the day to come has begun, where it is near; else none."""
    tomorrow = (now + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    left = (tomorrow - now).total_seconds()
    return left if left <= NEAR_S else 0


def pass_by(now: datetime) -> None:
    """Wait for the new day if it is about to begin: in one minute of a day, and never else."""
    if wait := seconds_to_wait(now):
        time.sleep(wait + 0.1)
