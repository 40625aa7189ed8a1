"""A client and a session without touching the mouse; where the focus is can always be seen."""

import pytest
from playwright.sync_api import expect

from tests.browser.walk import heading

FURTHEST = 60  # Tab presses until something counts as out of reach
RING = """element => {
    const style = getComputedStyle(element);
    return element.matches(':focus-visible') && style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
}"""


class Keys:
    """Goes through a page as one does without a mouse."""

    def __init__(self, page):
        self.page, self.keyboard = page, page.keyboard

    def to(self, target):
        """Press Tab until the target has the focus, and see that it shows."""
        for _ in range(FURTHEST):
            self.keyboard.press("Tab")
            if target.evaluate("element => element === document.activeElement"):
                assert target.evaluate(RING), f"no ring of focus on {target}"
                return
        pytest.fail(f"Tab does not reach {target}")

    def press(self, target, key):
        self.to(target)
        self.keyboard.press(key)

    def write(self, label, words):
        self.to(self.page.get_by_label(label).first)
        self.keyboard.type(words)

    def follow(self, name):
        self.press(self.page.get_by_role("link", name=name, exact=True), "Enter")

    def send(self, name):
        self.press(self.page.get_by_role("button", name=name, exact=True), "Enter")


def test_a_client_a_work_and_a_session_by_keyboard_alone(desk):
    keys = Keys(desk)
    keys.follow("Add the first client")
    keys.write("Alias or code", "Keys")
    keys.press(desk.get_by_label("The client has agreed"), "Space")
    keys.send("Add client")
    heading(desk, "Keys")
    expect(desk.get_by_text("given on")).to_be_visible()

    keys.follow("Add a work")
    keys.press(desk.get_by_label("left brow"), "Space")
    keys.keyboard.press("ArrowDown")
    expect(desk.get_by_label("right brow")).to_be_checked()
    keys.send("Add work")

    keys.follow("Add a session")
    keys.write("Date", "05052023")  # the same day whether the browser puts the day or the month first
    expect(desk.get_by_label("Date", exact=True)).to_have_value("2023-05-05")
    keys.write("Technique", "micro")
    keys.write("Name on the bottle", "Test brown")
    keys.write("Family", "hyb")
    keys.send("Add session")
    expect(desk.get_by_role("heading", level=2)).to_contain_text("Since the first session of 5 May 2023")
    expect(desk.get_by_text("microblading, with Test brown (hybrid)")).to_be_visible()


def test_the_way_past_the_head_comes_first(desk):
    keys = Keys(desk)
    keys.follow("To the content")
    assert desk.url.endswith("#main")
    keys.keyboard.press("Tab")
    assert desk.evaluate("document.activeElement.closest('main') !== null")
