"""The canonical text against RFC 8785's own samples and FIPS 180-4; sources in cases/canonical_json.json.

The library does the work; what is ours is that documents go through it whole, and that the digest is of its bytes.
"""

import hashlib
import json
import struct

import pytest
import rfc8785

from mixing import Setup, SetupError

from ..mixing.example import example, example_data
from .reference import cases

CASES = cases("canonical_json")


@pytest.mark.parametrize("number", ["I01", "I03", "I04", "I06", "I10"])
def test_published_samples(number: str) -> None:
    case = CASES[number]
    got = rfc8785.dumps(json.loads(case["inputs"]["json_text"]))
    assert got == case["expected"]["canonical"].encode()
    assert hashlib.sha256(got).hexdigest() == case["expected"]["sha256"]


def test_published_numbers() -> None:
    case = CASES["I07"]
    for bits, text in zip(case["inputs"]["ieee754_hex"], case["expected"], strict=True):
        (number,) = struct.unpack(">d", bytes.fromhex(bits))
        assert rfc8785.dumps(number).decode() == text


def test_published_digests() -> None:
    expected = CASES["I12"]["expected"]
    assert hashlib.sha256(b"abc").hexdigest() == expected["abc"]
    assert hashlib.sha256(rfc8785.dumps({})).hexdigest() == expected["{}"]


def test_a_document_is_its_canonical_text() -> None:
    text = example().text()
    assert text.encode() == rfc8785.dumps(json.loads(text))


def test_accents_are_kept_as_they_were_typed() -> None:
    """I13: no normalisation, so a composed and a decomposed é are two documents."""
    digests = []
    for number in ("composed", "decomposed"):
        name = json.loads(CASES["I13"]["inputs"][number])["name"]
        digests.append(Setup.model_validate({**example_data(), "remarks": name}).digest())
    assert digests[0] != digests[1]
    assert CASES["I13"]["expected"]["equal"] is False


@pytest.mark.parametrize(("name", "figure"), [("nan", "NaN"), ("inf", "1e999"), ("2**53", "9007199254740993")])
def test_numbers_that_no_text_can_hold_are_refused(name: str, figure: str) -> None:
    """I11: a document says so at the place, where the library would only say that it cannot."""
    assert CASES["I11"]["expected"][name] is True
    text = json.dumps({**example_data(), "signal": {"centre_us": 1234}}).replace("1234", figure)
    with pytest.raises(SetupError, match=r"signal\.centre_us: is .*(finite|large)"):
        Setup.from_text(text)


def test_half_a_character_is_refused() -> None:
    """I11, too."""
    assert CASES["I11"]["expected"]["lone_surrogate"] is True
    with pytest.raises(SetupError, match="remarks: holds half a character"):
        Setup.from_text(json.dumps({**example_data(), "remarks": "\ud800"}))
