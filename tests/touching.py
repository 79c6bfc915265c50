"""A finger on the screen of a real browser, as the browser itself is told of one."""

from playwright.sync_api import Page


class Finger:
    """One finger that goes down, moves and comes up."""

    def __init__(self, page: Page) -> None:
        self._session = page.context.new_cdp_session(page)
        self._at = (0.0, 0.0)

    def down(self, x: float, y: float) -> None:
        self._at = (x, y)
        self._send("touchStart")

    def move(self, x: float, y: float, *, steps: int = 8) -> None:
        (from_x, from_y) = self._at
        for step in range(1, steps + 1):
            share = step / steps
            self._at = (from_x + (x - from_x) * share, from_y + (y - from_y) * share)
            self._send("touchMove")

    def up(self) -> None:
        self._session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def _send(self, kind: str) -> None:
        x, y = self._at
        self._session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
