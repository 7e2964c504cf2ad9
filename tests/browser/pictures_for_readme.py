"""Take the pictures that the README shows, from a running demo.

    python3 manage.py demo                            # in another terminal
    .venv/bin/python -m tests.browser.pictures_for_readme [--site http://127.0.0.1:8000]

They are written to `.pictures/`, in few colours, since the pages have few: both together stay well under 300 kB.
"""

import argparse
import io
import json
import os
from dataclasses import dataclass
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from hangar.bootstrap import system

TOP = Path(__file__).resolve().parents[2]
FOLDER = TOP / ".pictures"
MOST_BYTES = 300_000
_COLOURS = 160
_WIDTH = 1280


@dataclass(frozen=True)
class Picture:
    """A page of the demo, from its top down to just above the heading `until`."""

    name: str
    address: str
    until: str


PICTURES = (
    Picture("bench.png", "/airframes/tidewrack/bench/?at_lever=-100&at_roll=50", "Authority left"),
    Picture("airframe.png", "/airframes/tidewrack/", "Responses"),
)


def main() -> None:
    """Sign in, take each picture, and say how large it is."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--site", default="http://127.0.0.1:8000", help="where the demo runs")
    site = parser.parse_args().site.rstrip("/")
    FOLDER.mkdir(exist_ok=True)
    # A sandbox cannot be set up by root, and /dev/shm is small in containers.
    arguments = ["--no-sandbox", "--disable-dev-shm-usage"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=system.chromium(), args=arguments)
        page = browser.new_page(viewport={"width": _WIDTH, "height": 900}, color_scheme="light")
        _sign_in(page, site)
        for picture in PICTURES:
            content = _few_colours(_taken(page, site, picture))
            (FOLDER / picture.name).write_bytes(content)
            print(f"{picture.name}: {len(content) / 1000:.0f} kB")
        browser.close()


def _sign_in(page: Page, site: str) -> None:
    page.goto(site)
    page.get_by_label("Login").fill("marit")
    club = json.loads((TOP / "fixtures" / "demo" / "club" / "club.json").read_text(encoding="utf-8"))
    page.get_by_label("Password").fill(club["password"])
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Line-up").wait_for()


def _taken(page: Page, site: str, picture: Picture) -> bytes:
    page.goto(site + picture.address)
    page.wait_for_load_state("networkidle")
    box = page.get_by_role("heading", name=picture.until).first.bounding_box()
    assert box is not None, f"{picture.address} has no heading {picture.until!r}"
    clip = {"x": 0.0, "y": 0.0, "width": float(_WIDTH), "height": box["y"] - 30.0}
    return page.screenshot(full_page=True, clip=clip)  # type: ignore[arg-type]


def _few_colours(content: bytes) -> bytes:
    with Image.open(io.BytesIO(content)) as image:
        small = image.convert("RGB").quantize(_COLOURS, dither=Image.Dither.NONE)
        written = io.BytesIO()
        small.save(written, "PNG", optimize=True)
    return written.getvalue()


if __name__ == "__main__":
    main()
