"""What a browser says of itself, in words by which its owner knows it again: "Firefox on Linux"."""

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
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "an Android phone or tablet"),
    ("Windows", "Windows"),
    ("CrOS", "a Chromebook"),
    ("Macintosh", "a Mac"),
    ("Linux", "Linux"),
)
UNKNOWN = "A browser that does not say what it is"


def device_words(agent: str) -> str:
    """From the header User-Agent; nothing of it is kept that these words do not say."""
    browser = next((words for sign, words in _BROWSERS if sign in agent), "")
    system = next((words for sign, words in _SYSTEMS if sign in agent), "")
    if not browser and not system:
        return UNKNOWN
    return f"{browser or 'A browser'} on {system}" if system else browser
