"""The two ends of a control in words: whoever names one in its own language gets the other in the same."""

from __future__ import annotations

from .language import say

_PAIRS = (
    ("right", "left"), ("back", "forward"), ("up", "down"), ("in", "out"), ("on", "off"), ("high", "low"),
    ("open", "closed"), ("fast", "slow"), ("towards you", "away from you"), ("clockwise", "anticlockwise"),
    ("rechts", "links"), ("hoch", "tief"), ("oben", "unten"), ("hinten", "vorn"), ("hinten", "vorne"),
    ("zurück", "vor"), ("gezogen", "gedrückt"), ("ziehen", "drücken"), ("ein", "aus"), ("an", "aus"), ("auf", "zu"),
    ("offen", "geschlossen"), ("schnell", "langsam"), ("groß", "klein"), ("Vollgas", "Leerlauf"), ("viel", "wenig"),
    ("zu dir", "von dir weg"), ("im Uhrzeigersinn", "gegen den Uhrzeigersinn"), ("ausgefahren", "eingefahren"),
    ("raus", "rein"),
    ("engine may run", "engine stopped"), ("Motor darf laufen", "Motor aus"),
)  # fmt: skip
_ONE_WAY = {"full": "off", "voll": "aus"}


def _table() -> dict[str, str]:
    """By a word in small letters its opposite; of a word in two pairs the first counts."""
    found: dict[str, str] = {}
    for pair in _PAIRS:
        for word, other in (pair, pair[::-1]):
            found.setdefault(word.lower(), other)
    return found | _ONE_WAY


_OPPOSITES = _table()


def opposite(word: str) -> str | None:
    """The other end of a control whose one end is called so; None where nobody knows.

    >>> opposite("right"), opposite("Gezogen"), opposite("teatime")
    ('left', 'gedrückt', None)
    """
    return _OPPOSITES.get(word.strip().lower())


def other_end(word: str) -> str:
    """The same, in words where nobody knows.

    >>> other_end("right"), other_end("teatime")
    ('left', 'the other way')
    """
    return opposite(word) or say("the other way")
