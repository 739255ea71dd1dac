"""A class with its tablets, served: where browser tests of helpers begin."""

from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Page, ViewportSize

from app.clock import FixedClock
from app.services.access import sign_ins
from tests.browser.conftest import OpenPage
from tests.record import Record

TABLET: ViewportSize = {"width": 768, "height": 1024}


@dataclass
class School:
    """A record that is served at an address, with the server's clock."""

    record: Record
    clock: FixedClock
    address: str
    open_page: OpenPage

    @property
    def today(self) -> str:
        """The address of Today."""
        return f"{self.address}/tank/{self.record.tank_id}/"

    def link(self) -> str:
        """The address of a new one-time link for the adult in charge."""
        with self.record.database.writing() as session:
            return f"{self.address}/sign-in/{sign_ins.make_link(session, now=self.clock.now())}"

    def adult(self, **more: Any) -> Page:
        """The adult in charge on a tablet, on Today."""
        page = self.open_page(self.link(), **more)
        page.set_viewport_size(TABLET)
        return page

    def tablet(self, **more: Any) -> Page:
        """A tablet in the hands of the class, on Today."""
        page = self.adult(**more)
        self.hand_over(page)
        return page

    def hand_over(self, page: Page) -> None:
        """Give a tablet to the class."""
        page.goto(f"{self.address}/device")
        page.get_by_role("button", name="Hand it to the helpers").click()
        page.wait_for_url(self.today)
