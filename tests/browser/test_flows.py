"""The main ways through the pages, with and without JavaScript, as somebody would tap them."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.school import School
from tests.browser.windows import OpenPage
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, new_record

with_and_without_script = pytest.mark.parametrize(
    "javascript", [True, False], ids=["with script", "without script"]
)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    friday = MONDAY - timedelta(days=3)
    made.write(ONE_SCOOP, at=friday)
    made.write(ALL_FINE, at=friday)
    yield made
    made.database.close()


@pytest.fixture
def address(school: School) -> str:
    """A one-time link into a class's record, on Monday at 8:41."""
    return school.link()


def press(page: Page, digits: str) -> None:
    for digit in digits:
        page.locator(".keypad button", has_text=digit).first.click()


@with_and_without_script
def test_feeding_with_a_temperature(address: str, open_page: OpenPage, javascript: bool) -> None:
    page = open_page(address, javascript=javascript)
    page.get_by_role("link", name="Feed now").click()
    if javascript:
        # from Today: Feed now, three digits and a point, Save are six taps
        press(page, "24.9")
    else:
        page.get_by_label("How warm is the water?").fill("24.9")
    page.get_by_role("button", name="Save").click()

    expect(page.locator(".flash[data-saved-token]")).to_contain_text("24.9")
    expect(page.locator(".feed-fed")).to_contain_text("FED")

    page.locator(".flash[data-saved-token]").get_by_role("button", name="Undo").click()
    expect(page.locator(".feed-not")).to_contain_text("NOT FED")


@with_and_without_script
def test_a_slip_of_the_pen_is_asked_about_and_taken_with_one_tap(
    address: str, open_page: OpenPage, javascript: bool
) -> None:
    page = open_page(address, javascript=javascript)
    page.get_by_role("link", name="Feed now").click()
    page.get_by_label("How warm is the water?").fill("77")
    page.get_by_role("button", name="Save").click()

    expect(page.locator(".error").first).to_contain_text("too hot to touch")
    page.get_by_role("button", name="25.0").click()
    expect(page.locator(".reading", has_text="Temperature")).to_contain_text("25.0")


@with_and_without_script
def test_look_and_count_makes_the_fog_go_away(
    address: str, open_page: OpenPage, javascript: bool
) -> None:
    page = open_page(address, javascript=javascript)
    expect(page.locator(".state-big")).to_contain_text("Don’t know")
    page.get_by_role("link", name="Look and count").first.click()
    page.get_by_role("button", name="All 16").click()

    expect(page.locator(".state-big")).not_to_contain_text("Nobody has looked")
    expect(page.locator(".reading", has_text="Fish seen")).to_contain_text("16")


@with_and_without_script
def test_from_a_task_to_its_reasons(address: str, open_page: OpenPage, javascript: bool) -> None:
    page = open_page(address, javascript=javascript)
    page.get_by_text("Why?").first.click()
    expect(page.locator(".why").first).to_be_visible()


def test_what_was_typed_is_still_there_after_the_session_ended(
    school: School, open_page: OpenPage
) -> None:
    page = open_page(school.link())
    page.get_by_role("link", name="Feed now").click()
    page.get_by_label("How warm is the water?").fill("24.9")
    page.context.clear_cookies()
    page.get_by_role("button", name="Save").click()
    expect(page.locator("h1")).to_have_text("Not saved yet")

    page.context.new_page().goto(school.link())
    with page.expect_navigation():
        page.get_by_role("button", name="Save it now").click()
    # the page is of the session that ended: it is answered with a page of the new one
    page.get_by_role("button", name="Save it now").click()
    expect(page.locator(".flash[data-saved-token]")).to_contain_text("24.9")


@with_and_without_script
def test_trying_more_air_in_a_night(
    address: str, open_page: OpenPage, axe: Callable[[Page], list[str]], javascript: bool
) -> None:
    page = open_page(address, javascript=javascript)
    page.goto(f"{address.partition('/sign-in')[0]}/tank/1/ahead/oxygen")
    field, slider = page.get_by_label("Air from a pump", exact=True), page.locator("input.slider")
    if javascript:
        slider.first.fill("2")
        expect(field).to_have_value("2")
        field.fill("1,5")
        expect(slider.first).to_have_value("1.5")
        assert axe(page) == []
    else:
        expect(slider.first).to_be_hidden()
        field.fill("1,5")
    page.get_by_role("button", name="Try it").click()

    expect(page.locator(".estimate")).to_have_count(2)
    expect(field).to_have_value("1,5")
