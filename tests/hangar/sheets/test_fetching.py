"""A sheet reads our own style sheets and fonts, and nothing else: whatever someone typed into a setup."""

import http.server
import threading
from collections.abc import Iterator

import pytest
from weasyprint.urls import FatalURLFetchingError

from hangar.sheets import pdf
from hangar.sheets.fetcher import RefusedAddress, SheetFetcher
from mixing import Setup
from tests.mixing.example import example, example_data

from .rendering import html_of, render, text_of

REFUSED = [
    "http://127.0.0.1:9/x",
    "https://example.org/font.ttf",
    "ftp://127.0.0.1/x",
    "file:///etc/passwd",
    "file:sheet.css",
    "data:text/css,body{}",
    "hingeline:sheets/../../settings.py",
    "hingeline:sheets/missing.css",
    "hingeline:font/../__init__.py",
    "hingeline:font/SourceSansPro-Regular.ttf?x",
    "HINGELINE:sheets/sheet.css",
    "/etc/passwd",
    "",
]


@pytest.mark.parametrize("address", REFUSED)
def test_the_fetcher_refuses_what_is_not_ours(address: str) -> None:
    with pytest.raises(RefusedAddress, match="may not read"):
        SheetFetcher().fetch(address)


@pytest.mark.parametrize(
    ("address", "kind", "start"),
    [
        ("hingeline:sheets/sheet.css", "text/css", b"/* The setup sheet"),
        ("hingeline:sheets/card.css", "text/css", b"/* The change card"),
        ("hingeline:font/SourceSansPro-Regular.ttf", "font/ttf", b"\x00\x01\x00\x00"),
    ],
)
def test_the_fetcher_answers_its_own_addresses(address: str, kind: str, start: bytes) -> None:
    answer = SheetFetcher().fetch(address)
    assert answer.content_type == kind
    assert answer.read().startswith(start)


class _Listener(http.server.BaseHTTPRequestHandler):
    called: list[str]

    def do_GET(self) -> None:
        self.called.append(self.path)
        self.send_response(404)
        self.end_headers()

    def log_message(self, *args: object) -> None:
        pass


@pytest.fixture
def listening() -> Iterator[tuple[int, list[str]]]:
    """A server on this machine that notes who calls it."""
    called: list[str] = []
    handler = type("Listener", (_Listener,), {"called": called})
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server.server_port, called
        server.shutdown()
        thread.join()


def hostile(port: int) -> tuple[Setup, list[str]]:
    """A setup in which every text tries to be markup, and those texts."""
    texts = [
        f'<img src="http://127.0.0.1:{port}/remark">',
        '<link rel="attachment" href="file:///etc/passwd">',
        f"<style>@import 'http://127.0.0.1:{port}/style';</style>",
        "</section></body>",
    ]
    data = example_data()
    data["remarks"] = " ".join(texts)
    data["surfaces"][0]["label"] = texts[0][:60]
    data["surfaces"][0]["measure_at"] = texts[1]
    data["channels"][1]["label"] = texts[1]
    data["balance"]["cg_datum"] = texts[0]
    data["balance"]["loads"][0]["label"] = texts[3]
    data["controls"][0]["label"] = texts[3]
    data["phases"][1]["label"] = texts[3]
    return Setup.model_validate(data), texts


def test_markup_in_a_setup_is_printed_as_text_and_fetches_nothing(listening: tuple[int, list[str]]) -> None:
    port, called = listening
    setup, texts = hostile(port)
    shown = text_of(render(setup, reason=texts[0], author=texts[1], airframe=texts[2]).content)
    assert f'<img src="http://127.0.0.1:{port}/remark">' in shown
    assert "file:///etc/passwd" in shown
    assert "root:" not in shown
    assert called == []


def test_markup_in_a_setup_is_escaped_in_the_page() -> None:
    setup, texts = hostile(9)
    page = html_of(setup, reason=texts[0], author=texts[1], airframe=texts[2])
    assert "<img" not in page
    assert "<link" not in page
    assert "<style" not in page
    assert page.count("</body>") == 1


@pytest.mark.parametrize("address", ["http://127.0.0.1:9/x", "file:///etc/passwd", "data:image/png;base64,AA=="])
def test_a_page_that_asks_for_more_is_not_printed(address: str) -> None:
    asking = html_of(example()).replace("<header", f'<img src="{address}" alt=""><header', 1)
    with pytest.raises(pdf.SheetError, match="could not be made"):
        pdf.render([lambda: asking], sheet="sheet", paper="a4")


def test_the_renderers_own_error_would_end_the_process() -> None:
    """Why `render` names it: `except Exception` lets it through."""
    assert not issubclass(FatalURLFetchingError, Exception)
    assert issubclass(pdf.SheetError, Exception)
