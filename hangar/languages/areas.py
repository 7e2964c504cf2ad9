"""The parts of the site that are translated apart, each with a file of its own, and where their texts stand."""

from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
WORDS = Path(__file__).resolve().parent / "words"

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""Each in its own words, as a member chooses it."""

_HANGAR = ("*.py", "formats/", "languages/", "pictures/", "help/", "demo/")

AREAS: dict[str, tuple[str, ...]] = {
    "mixing": ("mixing/",),
    "common": (
        *(f"hangar/{part}" for part in _HANGAR),
        "templates/*.html", "templates/partials/", "templates/tables/", "templates/help/",
    ),
    "people": (
        "hangar/members/", "hangar/fleet/", "hangar/keeping/", "templates/members/", "templates/fleet/",
        "templates/keeping/",
    ),
    "flights": ("hangar/flights/", "templates/flights/"),
    "setups": ("hangar/setups/", "templates/setups/"),
    "sheets": ("hangar/sheets/", "templates/sheets/"),
}  # fmt: skip
"""What belongs to an area: folders with all that is below them, or files by a pattern."""


def files(area: str, top: Path = TOP) -> list[Path]:
    """The sources of an area: Python and templates."""
    found: set[Path] = set()
    for part in AREAS[area]:
        inside = (top / part).rglob("*") if part.endswith("/") else top.glob(part)
        found.update(path for path in inside if path.suffix in (".py", ".html", ".txt") and path.is_file())
    return sorted(path for path in found if "migrations" not in path.parts and "commands" not in path.parts)


def locale_paths() -> list[Path]:
    """For Django's LOCALE_PATHS; where two areas say a thing differently, the first counts."""
    return [WORDS / area for area in AREAS]


def translation(area: str, language: str) -> Path:
    """The file with an area's texts in a language."""
    return WORDS / area / language / "LC_MESSAGES" / "django.po"
