"""A class with its tablets, served: where browser tests begin."""

from dataclasses import dataclass
from typing import Any

from flask import Flask
from playwright.sync_api import Page, ViewportSize

from app.clock import FixedClock
from app.services.access import sign_ins
from tests.browser.windows import COOKIE, OpenPage
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import signed_in
from tests.web.visits import csrf_of

TABLET: ViewportSize = {"width": 768, "height": 1024}


@dataclass
class School:
    """A record that is served at an address, with the server's clock."""

    record: Record
    clock: FixedClock
    app: Flask
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

    def open(self, page: str = "", **more: Any) -> Page:
        """A page of the tank, in a window of the adult in charge."""
        return self._opened(self._adult(), page, **more)

    def adult(self, **more: Any) -> Page:
        """The adult in charge on a tablet, on Today."""
        page = self.open(**more)
        page.set_viewport_size(TABLET)
        return page

    def tablet(self, **more: Any) -> Page:
        """A tablet in the hands of the class, on Today."""
        client = self._adult()
        client.post("/device/hand-over", data={"csrf_token": csrf_of(client, "/device")})
        page = self._opened(client, **more)
        page.set_viewport_size(TABLET)
        return page

    def hand_over(self, page: Page) -> None:
        """Give a tablet to the class, as the adult in charge does it."""
        page.goto(f"{self.address}/device")
        page.get_by_role("button", name="Hand it to the helpers").click()
        page.wait_for_url(self.today)

    def _adult(self) -> CheckedClient:
        return signed_in(self.app, self.record, self.clock)

    def _opened(self, client: CheckedClient, page: str = "", **more: Any) -> Page:
        cookie = client.get_cookie(COOKIE)
        assert cookie is not None
        return self.open_page(self.today + page, cookie=cookie.value, **more)
