"""A worker that prints all day keeps nothing of the sheets that it made: read where the renderer was seen to keep it.

The renderer never frees the OpenType features of a text: whoever asks for some in a style pays a hundred bytes for each
piece of text that is laid out or drawn, 0.12 MiB a sheet. Asked for with the font, they cost nothing.
"""

import gc
from pathlib import Path

import pytest
from weasyprint.text.fonts import FontConfiguration

from hangar.sheets import fetcher, pdf, printer, qr, typesetting
from hangar.sheets.models import new_token

PAPER = {"sheet": "a4", "card": "a5", "pocket": "a6", "handover": "letter"}
PAGE = """<!doctype html><html lang="en"><title>Figures</title><body><h1>12</h1><p>1 <b>2</b></p>
<table><tr><th>3<td>4</table><ul><li>5</ul><div class="plot">
<svg viewBox="0 0 9 9"><title>6</title><text>7</text></svg></div>
<div class="card quiet alarm num deg"><span class="box">☐</span> 8 <i>9</i></div></body></html>"""


def test_every_style_sheet_of_paper_is_tried() -> None:
    sheets = {path.stem for path in (Path(fetcher.__file__).parents[1] / "static" / "sheets").glob("*.css")}
    assert sheets - {"phone", "elements"} == PAPER.keys()


@pytest.mark.parametrize("sheet", PAPER)
def test_no_text_asks_for_features_that_are_never_freed(sheet: str) -> None:
    assert pdf.render([lambda: PAGE], sheet=sheet, paper=PAPER[sheet]).pages >= 1
    assert typesetting._fonts().font_features == {}


def test_a_text_that_asks_for_them_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    fonts = FontConfiguration()
    monkeypatch.setattr(typesetting, "_fonts", lambda: fonts)
    asking = PAGE.replace("<body>", '<body style="font-variant-numeric: tabular-nums">')
    pdf.render([lambda: asking], sheet="sheet", paper="a4")
    assert fonts.font_features


def test_codes_of_earlier_copies_are_let_go() -> None:
    for _ in range(40):
        assert qr.qr_code(f"https://hangar.example/s/{new_token()}", title="x").startswith("<svg")
    assert qr._modules.cache_info().currsize <= 8


def test_a_process_that_only_prints_looks_for_garbage_less_often_but_still_does() -> None:
    before = gc.get_threshold()
    try:
        printer.collect_less_often()
        assert gc.isenabled()
        assert all(now > then for now, then in zip(gc.get_threshold(), before, strict=True))
    finally:
        gc.set_threshold(*before)
