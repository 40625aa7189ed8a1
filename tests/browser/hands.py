"""Hands on the marking area: a mouse, and fingers. Places are given in pixels of the photo."""

import json
from math import hypot

from playwright.sync_api import expect

WELL_PLACED = 8  # screen pixels


class Stage:
    """The photo on the page, and what is marked on it."""

    def __init__(self, page):
        self.page = page
        self.area = page.locator("[data-stage]")
        self.states = {name: page.locator(f"[data-state={name}]") for name in ("card", "outline")}
        expect(self.area).to_be_visible()
        self.area.scroll_into_view_if_needed()

    def at(self, *places):
        """Where places in the photo are on the screen."""
        rect = self.page.locator("[data-photo]").bounding_box()
        scale = rect["width"] / float(self.page.locator("[data-marking]").get_attribute("data-width"))
        return [(rect["x"] + x * scale, rect["y"] + y * scale) for x, y in places]

    def choose(self, mode):
        self.page.get_by_role("radio", name=mode).click()

    def press(self, button):
        self.page.get_by_role("button", name=button, exact=True).click()

    @property
    def outline(self):
        return json.loads(self.page.locator("input[name=outline]").input_value() or "[]")

    @property
    def corners(self):
        return json.loads(self.page.locator("input[name=card_corners]").input_value() or "[]")

    @property
    def whole_handle(self):
        box = self.page.locator("[data-whole]").bounding_box()
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def mark_card(self, hand, a, b):
        self.choose("Grey card")
        hand.drag(self.at(a, b))
        expect(self.states["card"]).to_have_text("marked")

    def draw_anew(self):
        """Wait for the outline that is proposed once the card is marked, and put it aside."""
        self.choose("Outline")
        expect(self.states["outline"]).to_contain_text("to check")
        self.press("Draw it anew")
        expect(self.states["outline"]).to_have_text("not marked yet")

    def move_corners(self, hand, corners):
        """Take the four corners of a tilted card one by one to where they belong."""
        self.choose("Grey card")
        for way in zip(self.at(*self.corners), self.at(*corners), strict=True):
            hand.drag(way)

    def move_whole(self, hand, wanted):
        """Carry the offered outline over the work by its handle, or take it as it lies where it lies well."""
        self.choose("Outline")
        expect(self.states["outline"]).to_contain_text("to check")
        (fx, fy), (tx, ty) = self.at(middle(self.outline), middle(wanted))
        if hypot(tx - fx, ty - fy) > WELL_PLACED:
            x, y = self.whole_handle
            hand.drag([(x, y), (x + tx - fx, y + ty - fy)])
            expect(self.states["outline"]).not_to_contain_text("to check")

    def correct_points(self, hand, wanted):
        """Take points that are well off to where they belong."""
        for now, then in zip(self.at(*self.outline), self.at(*wanted), strict=True):
            if hypot(now[0] - then[0], now[1] - then[1]) > WELL_PLACED:
                hand.drag([now, then])


def middle(points):
    return tuple(sum(p[i] for p in points) / len(points) for i in (0, 1))


class Mouse:
    """Drags and clicks with the mouse."""

    def __init__(self, page):
        self.mouse = page.mouse

    def drag(self, way):
        self.mouse.move(*way[0])
        self.mouse.down()
        for place in way[1:]:
            self.mouse.move(*place, steps=3)
        self.mouse.up()

    def click(self, place):
        self.mouse.click(*place)


class Fingers:
    """Touches as the screen of a phone reports them."""

    def __init__(self, page):
        self.protocol = page.context.new_cdp_session(page)

    def drag(self, way):
        (x0, y0), steps = way[0], []
        for x1, y1 in way[1:]:
            count = max(int(hypot(x1 - x0, y1 - y0) / 6), 2)
            steps += [(x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(1, count + 1)]
            x0, y0 = x1, y1
        self._touch("touchStart", way[0])
        for step in steps:
            self._touch("touchMove", step)
        self._touch("touchEnd")

    def pinch(self, centre, start, end):
        """Two fingers on a level line apart from each other, from `start` to `end` pixels from the centre."""
        x, y = centre
        for i in range(9):
            apart = start + (end - start) * i / 8
            self._touch("touchMove" if i else "touchStart", (x - apart, y), (x + apart, y))
        self._touch("touchEnd")

    def _touch(self, kind, *places):
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        self.protocol.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
