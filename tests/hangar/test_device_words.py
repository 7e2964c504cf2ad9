"""What a browser says of itself, in a few words. The headers were written after the pattern that browsers follow."""

import pytest

from hangar.members.device_words import UNKNOWN, device_words
from hangar.members.models import Visit

MOZILLA = "Mozilla/5.0"
CHROME = "AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0"


@pytest.mark.parametrize(
    ("agent", "told"),
    [
        (f"{MOZILLA} (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        (f"{MOZILLA} (Windows NT 10.0; Win64; x64) {CHROME} Safari/537.36", "Chrome on Windows"),
        (f"{MOZILLA} (Windows NT 10.0; Win64; x64) {CHROME} Safari/537.36 Edg/140.0.0.0", "Edge on Windows"),
        (
            f"{MOZILLA} (Linux; Android 14; K) {CHROME} Mobile Safari/537.36",
            "Chrome on an Android phone or tablet",
        ),
        (
            f"{MOZILLA} (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
            "Version/17.5 Mobile/15E148 Safari/604.1",
            "Safari on an iPhone",
        ),
        (f"{MOZILLA} (X11; CrOS x86_64 14541.0.0) {CHROME} Safari/537.36", "Chrome on a Chromebook"),
        ("something/1.0 (Linux)", "A browser on Linux"),
        ("something/1.0", UNKNOWN),
        ("", UNKNOWN),
        ("\x00<b>" * 5000, UNKNOWN),
    ],
)
def test_words(agent: str, told: str) -> None:
    assert device_words(agent) == told
    assert len(told) <= (Visit._meta.get_field("device").max_length or 0)
