"""Whatever may be typed into a box or sent as a file, by kinds. Each kind has several samples, taken in turn."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

GLIDER = Path(__file__).parents[2] / "mixing" / "data" / "electric_glider.json"
MISSING = object()
"""The box is not sent at all."""

# Bytes are sent as they are: what no browser would encode, and what no text can hold.
TYPED: dict[str, tuple[Any, ...]] = {
    "missing": (MISSING,),
    "empty": ("",),
    "blank": (" ", "\r\n", "\t", "\u00a0", "\u2028"),
    "a word": ("abc", "12 askew", "null", "true", "None", "last_position"),
    "a sign": ("-", "−", "+", ".", "%", "e"),
    "a NUL": ("\x00", "a\x00b", "12\x00"),
    "half a pair": (b"\xed\xa0\x80", b"12\xed\xbf\xbf", b"\xed\xb0\x80a"),
    "broken UTF-8": (b"\xff\xfe", b"\xc3", b"a\xf8\x88b"),
    "a character that is none": ("\ufffe", "\x1b[0m", "\x7f", "\ue000", "\U0010ffff"),
    "turned round": ("\u202e", "\u2066abc", "\u200b"),
    "a picture": ("💥", "👩‍👩‍👧‍👦", "﷽" * 50, "e\u0301" * 40),
    "digits from elsewhere": ("٣", "²", "½", "１２", "Ⅷ"),
    "not a number": ("NaN", "nan", "Infinity", "-inf", "1e999"),
    "an enormous number": ("9" * 400, "9" * 60, "1e308", "99999999999999999999", "-" + "9" * 60),
    "a negative number": ("-40", "−12,5", "-0", "-1", "-9" * 20),
    "a tiny number": ("1e-9", "0.0000001", "0", "-0.0"),
    "a large number": ("1e9", "2147483648", "9223372036854775808", "1000001", "32768"),
    "nearly a number": ("1_000", "0x10", "1,2,3", "1e3", "12 up", "--5", "1.2.3"),
    "long": ("a" * 9000, "a" * 300, "12 " * 3000, "<" * 5000),
    "very long": ("ä" * 300_000, "9" * 300_000, "\n" * 200_000),
    "markup": ("<b>", "<script>alert(1)</script>", "{{ x }}", "{% x %}", "&amp;", "'\"><"),
    "JSON": ("[]", "{}", "[1, 2", '{"a": [[0, 0]]}', "[" * 2000),
    "a path": ("../../etc", "%00", "C:\\x", "//elsewhere.example/", "file:///etc/passwd"),
    "a date that is none": ("2026-02-30", "0001-01-01", "9999-12-31", "2026-05-01T10:00", "0000-00-00"),
    "a question to the database": ("' OR 1=1 --", "%", "_", "a'); DROP TABLE x; --"),
    "two at once": (("1", "2"), ("", "abc"), ("on", "on")),
}


def _document(**changes: Any) -> bytes:
    return json.dumps({**json.loads(GLIDER.read_text()), **changes}).encode()


def many_stations(count: int) -> list[list[float]]:
    return [[-100 + 200 * number / (count - 1), number % 7] for number in range(count)]


def _with_stations(stations: list[list[float]]) -> bytes:
    couplings = json.loads(GLIDER.read_text())["couplings"]
    return _document(couplings=[{**couplings[0], "stations": stations}, *couplings[1:]])


def _with_chord(chord: float) -> bytes:
    surfaces = json.loads(GLIDER.read_text())["surfaces"]
    return _document(surfaces=[{**surfaces[0], "chord_mm": chord}, *surfaces[1:]])


FILES: dict[str, tuple[bytes, ...]] = {
    "an empty file": (b"",),
    "bytes": (b"\x00", b"\xff\xfe\x00", bytes(range(256))),
    "half a picture": (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF89a", b"II*\x00", b"RIFF\x00\x00\x00\x00WEBP"),
    "JSON of something else": (b"{}", b"null", b"[]", b"1", b'"x"', b"\xef\xbb\xbf{}", b'{"schema": 2}'),
    "deep JSON": (b"[" * 900 + b"]" * 900, b"[" * 100_000, b'{"a":' * 3000 + b"1" + b"}" * 3000),
    "broken JSON": (GLIDER.read_bytes()[:-3], b'{"schema": 1, "schema": 1}', b"1" * 5000, b'{"a": "\\ud800"}'),
    "a setup": (GLIDER.read_bytes(),),
    "10,000 stations": (_with_stations(many_stations(10_000)), _with_stations([[0, 0]] * 10_000)),
    "a negative chord": (_with_chord(-40), _with_chord(0), _with_chord(1e300)),
    "too large": (b" " * 1_100_000, b"[" + b"0," * 800_000 + b"0]"),
    "a zip": (b"PK\x03\x04" + b"\x00" * 60, b"PK\x05\x06" + b"\x00" * 18),
}

# A whole body that no form of ours sends, with its kind.
BODIES: tuple[tuple[bytes, str], ...] = (
    (b"", "application/x-www-form-urlencoded"),
    (b'{"reason": 1}', "application/json"),
    (b"reason=%ED%A0%80&%00=%00&=&&;;%", "application/x-www-form-urlencoded"),
    (b"--x\r\nbroken", "multipart/form-data; boundary=x"),
    (b"no boundary", "multipart/form-data"),
    (b"&".join(b"f%d=1" % number for number in range(5000)), "application/x-www-form-urlencoded"),
    (b"reason=" + b"a" * 3_000_000, "application/x-www-form-urlencoded"),
    (b"reason=a", "application/x-www-form-urlencoded; charset=utf-7"),
)

NUMBERS_OF_A_DOCUMENT: tuple[Any, ...] = (
    -40, 0, -1, 1e-9, 1e12, 1e308, 10**400, float("nan"), float("-inf"), 0.5, 2**53 + 1,
)  # fmt: skip
OTHERS_OF_A_DOCUMENT: tuple[Any, ...] = (
    MISSING, None, True, "", "12", "\x00", "\ud800", "💥", "a" * 9000, "last_position", [], {}, [[0, 0]] * 3,
    many_stations(10_000), {"\x00": 1},
)  # fmt: skip


def documents() -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Each place of a whole setup, with each kind of value that may be written there."""
    for place in places(json.loads(GLIDER.read_text())):
        for value in (*NUMBERS_OF_A_DOCUMENT, *OTHERS_OF_A_DOCUMENT):
            yield place, value


def places(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every value of a document, also to those that hold others; not to the whole."""
    if path:
        yield path
    for key, value in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        yield from places(value, (*path, key))


def written(document: Any, place: tuple[Any, ...], value: Any) -> None:
    """Put `value` at its place, as far as the place is (still) there."""
    node = document
    try:
        for key in place[:-1]:
            node = node[key]
        if value is MISSING:
            del node[place[-1]]
        else:
            node[place[-1]] = value
    except (IndexError, KeyError, TypeError):
        return
