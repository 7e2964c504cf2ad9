"""What a browser says of itself, in words by which its owner knows it again: "Firefox on Linux"."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

# The first that is found counts: browsers name those which they want to pass for, too.
_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung Internet"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS = (
    ("iPhone", gettext_noop("an iPhone")),
    ("iPad", gettext_noop("an iPad")),
    ("Android", gettext_noop("an Android phone or tablet")),
    ("Windows", "Windows"),
    ("CrOS", gettext_noop("a Chromebook")),
    ("Macintosh", gettext_noop("a Mac")),
    ("Linux", "Linux"),
)
UNKNOWN = gettext_noop("A browser that does not say what it is")
_UNNAMED, _ON = gettext_noop("A browser"), " on "


def device_words(agent: str) -> str:
    """From the header User-Agent, in English, as they are kept; nothing of it is kept that these words do not say."""
    browser = next((words for sign, words in _BROWSERS if sign in agent), "")
    system = next((words for sign, words in _SYSTEMS if sign in agent), "")
    if not browser and not system:
        return UNKNOWN
    return f"{browser or _UNNAMED}{_ON}{system}" if system else browser


def told(kept: str) -> str:
    """What is kept of a browser, in the language of the page."""
    browser, on, system = kept.partition(_ON)
    if not on:
        return _(browser)
    return _("{browser} on {system}").format(browser=_(browser), system=_(system))
