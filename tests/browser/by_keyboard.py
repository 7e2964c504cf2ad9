"""Hands on a keyboard and nothing else: they go to a part of the page with Tab, and count what they do."""

from playwright.sync_api import Locator, Page, expect

_FAR = 250


class Hands:
    """`keys` counts every key, Tab and letters too; `deeds` what someone means to do: a box, a choice, a button."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.keys = 0
        self.deeds = 0

    def press(self, key: str) -> None:
        self.keys += 1
        self.page.keyboard.press(key)

    def go_to(self, place: Locator, key: str = "Tab") -> None:
        """Tab, or Shift+Tab, until the focus is there. Of a group of radio buttons it goes to the chosen one."""
        place.wait_for(state="attached")
        # Keys that come before the scripts are there would be seen by none of them.
        self.page.wait_for_load_state("load")
        for _ in range(_FAR):
            if place.evaluate("element => element === document.activeElement"):
                return
            self.press(key)
        raise AssertionError(f"{place} cannot be reached with the Tab key")

    def type(self, place: Locator, text: str) -> None:
        """Into a box, in the place of what stands there, as a browser selects it on arrival."""
        self.go_to(place)
        self.deeds += 1
        self.keys += len(text)
        self.page.keyboard.type(text)

    def tick(self, place: Locator) -> None:
        self.go_to(place)
        self.deeds += 1
        self.press("Space")
        expect(place).to_be_checked()

    def choose(self, chosen: Locator, wanted: Locator) -> None:
        """From the chosen one of a group of radio buttons to another, by arrow key."""
        self.go_to(chosen)
        self.deeds += 1
        for _ in range(12):
            if wanted.is_checked():
                return
            self.press("ArrowDown")
        raise AssertionError(f"{wanted} cannot be chosen with the arrow keys")

    def follow(self, place: Locator, key: str = "Tab") -> None:
        """A link or a button."""
        self.go_to(place, key)
        self.deeds += 1
        self.press("Enter")
