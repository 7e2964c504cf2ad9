"""How closely a sheet is set: the settings from which it takes the roomiest that fits the page."""

from dataclasses import dataclass

# The width of a plot in the right one of two columns.
PLOT_PX = 302


@dataclass(frozen=True)
class Spacing:
    """How closely a sheet is set.

    `name` are classes of the style sheet; `abreast` is how many pictures may stand side by side; `label` is how many
    characters of a name are printed; `type_px` is the size of a picture's lettering, `picture_height` and
    `plot_height` are the heights of a picture and the plot [px], `plot_px` is the width of the plot beside stances;
    `remarks` is how many characters of the remarks at least, `findings` how many findings, and `finding` how many
    characters of each are printed. Where `mirrored`, a pair that moves as in a mirror takes one row of the table. Where
    it does not say what each entry `gives`, the throws that lie off the table's are still told, and there is no room
    for a photo either.
    """

    name: str
    abreast: int
    label: int
    type_px: float
    picture_height: float
    plot_height: float
    remarks: int
    findings: int
    finding: int = 300
    mirrored: bool = False
    gives: bool = True
    plot_px: float = PLOT_PX


# The last one is for what does not fit a page in any other. 10 CSS pixels are 7.5 pt: nothing is smaller than 7 pt.
SPACINGS = (
    Spacing("generous", 4, 32, 12, 92, 190, 600, 10),
    Spacing("roomy", 4, 30, 11.5, 86, 170, 600, 10),
    Spacing("even", 4, 28, 11, 80, 150, 600, 10),
    Spacing("close", 4, 26, 10.5, 74, 140, 400, 10),
    Spacing("closer", 5, 24, 10, 66, 120, 240, 10),
    Spacing("closest", 5, 22, 9.6, 60, 98, 160, 8),
    Spacing("closest", 5, 22, 9.6, 60, 98, 160, 8, mirrored=True),
    Spacing("closest", 5, 19, 9.6, 58, 94, 80, 4, mirrored=True, gives=False, plot_px=219),
    Spacing("closest full", 5, 19, 9.6, 56, 76, 40, 4, finding=130, mirrored=True, gives=False, plot_px=219),
    Spacing("flowing", 4, 40, 10.6, 80, 150, 8000, 200),
)
# For a screen, which needs no page: everything, and pictures as wide as a phone.
PHONE = Spacing("phone", 2, 60, 13, 120, 260, 8000, 200, plot_px=360)
PAGE_PX = 190 / 25.4 * 96
# The figures at the axes are nine tenths of this: 7 pt.
PLOT_TYPE_PX = 10.4

# How many lines (see `Content.lines`) the settings take at most on A4, from a mirrored one on without the rows that
# this saves. Fitted on A4 and Letter, in English, German and inches: of 89 sheets of the layouts of the tests and of
# the starting ones 83 are laid out once, the others twice.
_LINES = (17.2, 22.6, 26.3, 29.9, 35.0, 49.4, 46.7, 60.0)
_LETTER = 1.05


# A line of notes across the page: its letters, and how many lines of the throw table it is high.
NOTE_LETTERS, _NOTE_HIGH = 140, 1.9


def likely(lines: float, saved: int, paper: str) -> int:
    """The place in SPACINGS of the one to try first: a guess, which saves most sheets a second layout.

    `saved` is how many lines less there are where pairs are mirrored.
    """
    return sum(left < 0 for left in _left(lines, saved, paper))


def spare_letters(lines: float, saved: int, paper: str) -> int:
    """How many letters of notes the likely setting has room for across the page, besides those that it always has."""
    both = zip(_left(lines, saved, paper), SPACINGS, strict=False)
    left = next((left if spacing.gives else 0.0 for left, spacing in both if left >= 0), 0.0)
    return int(max(left - 1, 0) / _NOTE_HIGH) * NOTE_LETTERS


def _left(lines: float, saved: int, paper: str) -> list[float]:
    """How many lines each setting leaves, below 0 where it is too wide."""
    taller = _LETTER if paper == "letter" else 1.0
    needed = ((lines - saved if spacing.mirrored else lines) * taller for spacing in SPACINGS)
    return [limit - line for line, limit in zip(needed, _LINES, strict=False)]
