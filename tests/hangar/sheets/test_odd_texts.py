"""Texts that nobody expects print, or are replaced by something that is seen; none breaks the page."""

import pytest

from hangar.sheets import pdf
from mixing import Setup

from . import layouts
from .rendering import reader, render, text_of, words_of


def with_remarks(remarks: str) -> Setup:
    return Setup.model_validate({**layouts.two_servos().data(), "remarks": remarks})


def test_names_of_200_characters_break_and_stay_on_the_page() -> None:
    made = render(layouts.two_servos(), airframe="W" * 200, mark="M" * 40, author="x" * 200, reason="y" * 500)
    assert made.pages == 1
    shown = words_of(made.content)
    assert shown.replace(" ", "").count("W" * 200) == 1
    assert "Revision 12" in shown
    width = float(reader(made.content).pages[0].mediabox.width)
    places: list[float] = []

    def visit(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            places.append(tm[4] * cm[0] + cm[4])

    reader(made.content).pages[0].extract_text(visitor_text=visit)
    assert 0 <= min(places) <= max(places) < width


def test_text_from_right_to_left_prints() -> None:
    content = render(with_remarks("שלום מודל 12 מ״מ")).content
    shown = text_of(content)
    assert "שלום" in shown
    for page in reader(content).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            (descendant,) = font.get_object()["/DescendantFonts"]
            assert {"/FontFile2", "/FontFile3"} & descendant.get_object()["/FontDescriptor"].get_object().keys()


def test_emoji_are_replaced_by_a_box_that_is_seen() -> None:
    shown = words_of(render(with_remarks("flown 😀 by 🛩️ today"), reason="a 👩‍✈️ b").content)
    assert "flown □ by □ today" in shown
    assert "a □✈ b" in shown
    assert "Throws mm and degrees" in shown


@pytest.mark.parametrize("sign", ["\u202e", "\u2067", "\u200f", "\u200b", "\ufeff"])
def test_no_sign_turns_figures_round(sign: str) -> None:
    assert "trim 12.5 mm up" in words_of(render(with_remarks(f"{sign}trim {sign}12.5 mm up")).content)


def test_a_data_url_is_refused_however_long() -> None:
    page = f"<html><body><img alt='' src='data:image/png;base64,{'A' * 5_000_000}'></body></html>"
    with pytest.raises(pdf.SheetError) as told:
        pdf.render([lambda: page], sheet="sheet", paper="a4")
    assert len(str(told.value)) < 300
