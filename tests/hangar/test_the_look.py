"""What of the ten rules of the pages a test can hold: sizes, colours, one way to show a finding, where one is."""

import re
from pathlib import Path

import pytest
from django.conf import settings

STATIC = settings.BASE_DIR / "hangar" / "static"
TEMPLATES = settings.BASE_DIR / "templates"
PAGES = sorted(STATIC.glob("*.css"))
PAPER = sorted((STATIC / "sheets").glob("*.css"))
BASE = (STATIC / "base.css").read_text(encoding="utf-8")
COLOUR = re.compile(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(")
SIZES = {"--small", "--large", "--figure", "--title-1", "--title-2", "--title-3"}


def day() -> dict[str, str]:
    """The palette of the pages by day, by its names."""
    return dict(re.findall(r"(--[a-z-]+): (#[0-9a-f]{6});", BASE.split("@media")[0]))


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_type_has_the_sizes_of_the_scale(path: Path) -> None:
    for size in re.findall(r"font-size: ([^;]+);", path.read_text(encoding="utf-8")):
        # An arrow stands a little larger than its figure; paper from the browser has one size in points.
        known = size in {"1rem", "1.1em", "11pt"} or size.removeprefix("var(").removesuffix(")") in SIZES
        assert known, f"{path.name}: font-size {size}"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_colours_are_named_once(path: Path) -> None:
    for line in path.read_text(encoding="utf-8").splitlines():
        # A drawing carries the colours of paper in itself; by night they are led to the palette's.
        if not re.match(r"\s*(:root \{|--[a-z-]+:|\.drawing \[(fill|stroke)=)", line):
            assert not COLOUR.search(line), f"{path.name}: {line.strip()}"


@pytest.mark.parametrize("path", PAPER, ids=lambda path: path.name)
def test_paper_has_the_colours_of_the_pages(path: Path) -> None:
    # The phone's file is a page of its own and carries the palette, by day and by night, in itself.
    known = set(re.findall(r"#[0-9a-f]{6}", BASE)) | {"#ffffff", "#d3e3e6"}
    assert set(re.findall(r"#[0-9a-fA-F]{6}\b", path.read_text(encoding="utf-8"))) <= known


def test_pictures_have_the_colours_of_the_pages() -> None:
    known = set(day().values()) | {"#d3e3e6"}
    for path in sorted((settings.BASE_DIR / "hangar" / "pictures").glob("*.py")):
        assert set(re.findall(r"#[0-9a-f]{6}\b", path.read_text(encoding="utf-8"))) <= known, path.name


def test_a_finding_is_shown_in_one_way() -> None:
    ways = {
        path.relative_to(TEMPLATES).as_posix()
        for path in TEMPLATES.rglob("*.html")
        if re.search(r"\{\{ *(finding|one|f)\.(severity|text)\b", path.read_text(encoding="utf-8"))
    }
    assert ways == {"partials/finding.html"}


@pytest.mark.parametrize("path", sorted(TEMPLATES.rglob("*.html")), ids=lambda p: p.relative_to(TEMPLATES).as_posix())
def test_every_page_says_where_one_is(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if '{% extends "base.html" %}' not in text:
        return
    assert "{% block title %}" in text
    assert re.search(r"<h1\b", text) or "{% include" in text


def test_paper_shows_every_entry_of_a_change_card() -> None:
    hidden = re.findall(r"([^{}]+)\{ display: none; \}", BASE.partition("@media print")[2])
    card = (TEMPLATES / "flights" / "_card_lines.html").read_text(encoding="utf-8")
    classes = {f".{name}" for names in re.findall(r'class="([^"{]*)"', card) for name in names.split()}
    assert classes, "the entries have classes"
    assert not classes & {one.strip() for rule in hidden for one in rule.split(",")}


def test_paper_shows_the_history_that_stands_in_a_form() -> None:
    """The list is in the form that compares two of it; any other form is empty boxes on paper."""
    forms = (STATIC / "forms.css").read_text(encoding="utf-8").partition("@media print")[2]
    assert "form:not(.reads) { display: none; }" in forms
    history = (TEMPLATES / "flights" / "history.html").read_text(encoding="utf-8")
    assert re.search(r'<form class="reads"[^>]*>\s*\{% include "flights/_revisions.html" %\}', history)
