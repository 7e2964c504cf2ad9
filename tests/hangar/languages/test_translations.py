"""The files of translations: up with the sources, with the same places in a text and its translation, and compiled."""

import string
from collections import defaultdict
from typing import Any

import pytest
from babel.messages.catalog import Message

from hangar.languages.areas import AREAS, LANGUAGES, translation
from hangar.languages.collecting import as_mo, brought_up, collected, said, translated

EACH = [(area, language) for area in AREAS for language in LANGUAGES if language != "en"]


def texts(catalog: Any) -> dict[Any, Message]:
    return {(message.id, message.context): message for message in catalog if message.id}


@pytest.mark.parametrize(("area", "language"), EACH)
def test_every_text_of_the_sources_is_in_the_file_and_no_other(area: str, language: str) -> None:
    in_file, in_sources = texts(translated(area, language)), texts(collected(area))
    assert sorted(map(str, in_file)) == sorted(map(str, in_sources)), f"run: python3 manage.py words {area}"


@pytest.mark.parametrize(("area", "language"), EACH)
def test_what_the_site_reads_was_made_from_the_file(area: str, language: str) -> None:
    path = translation(area, language)
    assert path.with_suffix(".mo").read_bytes() == as_mo(translated(area, language)), f"run: manage.py words {area}"


def places(text: str) -> set[str]:
    """What is filled into a text: {name} of Python, %(name)s of a template."""
    braces = {name for _, name, _, _ in string.Formatter().parse(text.replace("{{", "").replace("}}", "")) if name}
    return braces | {piece.split(")")[0] for piece in text.split("%(")[1:]}


@pytest.mark.parametrize(("area", "language"), EACH)
def test_a_translation_fills_in_what_the_text_fills_in(area: str, language: str) -> None:
    for message in texts(translated(area, language)).values():
        forms = message.string if isinstance(message.string, list | tuple) else [message.string]
        originals = message.id if isinstance(message.id, list | tuple) else [message.id]
        allowed = {frozenset(places(str(one))) for one in originals}
        for form in forms:
            assert not form or frozenset(places(form)) in allowed, f"{originals[0]!r} -> {form!r}"


@pytest.mark.parametrize(("area", "language"), EACH)
def test_what_counts_says_its_count_in_the_plural(area: str, language: str) -> None:
    for message in texts(translated(area, language)).values():
        if isinstance(message.string, tuple | list) and said(message):
            assert places(message.string[-1]) == places(message.id[-1]), f"{message.id!r} -> {message.string!r}"


@pytest.mark.parametrize("language", [code for code in LANGUAGES if code != "en"])
def test_one_text_is_translated_in_one_way(language: str) -> None:
    ways: dict[Any, set[str]] = defaultdict(set)
    for area in AREAS:
        for key, message in texts(translated(area, language)).items():
            if said(message):
                ways[key].add(str(message.string))
    assert {key: found for key, found in ways.items() if len(found) > 1} == {}


def test_bringing_up_changes_nothing_of_what_is_up() -> None:
    for area, language in EACH:
        before, after = texts(translated(area, language)), texts(brought_up(area, language))
        assert {key: str(one.string) for key, one in before.items() if said(one)}.items() <= {
            key: str(one.string) for key, one in after.items()
        }.items()
