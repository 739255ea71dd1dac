"""Save without a connection: nothing typed is lost, and it is saved once, with its own time."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page, Route, expect

from app.clock import FixedClock
from app.services import story
from app.services.story import StoryLine
from tests.browser.school import School
from tests.record import MONDAY, Record

OPENED = MONDAY - timedelta(minutes=6)
BACK = MONDAY + timedelta(minutes=29)
SIX_MINUTES = 6 * 60 * 1000
A_WHILE = 11 * 1000
# the tablet believes that it is three hours later
WRONG_CLOCK = "const real = Date.now; Date.now = () => real.call(Date) + 3 * 3600 * 1000;"
OPEN = "each => { each.open = true; }"
KEPT = "Object.keys(localStorage).filter(key => key.startsWith('sillpond.kept.')).length"


@pytest.fixture
def clock() -> FixedClock:
    """The server's clock; that of the tablet is another one."""
    return FixedClock(OPENED)


@pytest.fixture
def home(school: School) -> str:
    return school.address


def with_wrong_clock(page: Page) -> Page:
    """A tablet whose clock is wrong, and stands still until the test moves it."""
    page.clock.install(time=OPENED)
    page.clock.pause_at(OPENED + timedelta(seconds=1))
    page.context.add_init_script(WRONG_CLOCK)
    page.reload()
    return page


# a context of its own, for nobody else wants such a clock
OWN = {"offline": False}


@pytest.fixture
def adult(school: School) -> Page:
    """An adult's tablet."""
    return with_wrong_clock(school.adult(**OWN))


@pytest.fixture
def tablet(school: School) -> Page:
    """A tablet in the hands of the class."""
    return with_wrong_clock(school.tablet(**OWN))


def fill_feed(page: Page, home: str, tile: str, warm: str) -> None:
    page.goto(f"{home}/tank/1/feed")
    page.locator(".pick", has=page.locator('input[name="hands"]')).evaluate(OPEN)
    page.get_by_label(tile, exact=True).check(force=True)
    page.get_by_label("How warm is the water?").fill(warm)


def save(page: Page) -> None:
    page.locator(".save-bar button").click()


def lines(record: Record) -> tuple[StoryLine, ...]:
    """What was written down today."""
    with record.database.reading() as session:
        page = story.story(session, record.tank_id)
    return tuple(line for line in page.lines if line.happened_at > OPENED - timedelta(days=1))


def test_it_arrives_once_and_with_the_time_at_which_save_was_pressed(
    tablet: Page, home: str, record: Record, clock: FixedClock
) -> None:
    fill_feed(tablet, home, "Otter", "24.9")
    tablet.clock.fast_forward(SIX_MINUTES)
    tablet.context.set_offline(True)
    save(tablet)
    expect(tablet.locator(".kept")).to_contain_text("Keep this page open")
    assert lines(record) == ()

    clock.moment = BACK
    lost = []

    def lose_the_answer(route: Route) -> None:
        lost.append(route.fetch(max_redirects=0).status)
        route.abort("connectionreset")

    tablet.route("**/feed", lose_the_answer)
    with tablet.expect_event("requestfailed", lambda asked: asked.method == "POST"):
        tablet.context.set_offline(False)
    assert lost == [303]

    # the page is gone with the answer; what it kept is there when the tablet is used again
    again = tablet.context.new_page()
    again.goto(f"{home}/tank/1/")
    again.get_by_role("link", name="Not saved yet: Feed, 8:41 am").click()
    expect(again.locator(".kept")).to_contain_text("Otter wrote something at 8:41 am")
    again.get_by_role("button", name="Show it").click()
    expect(again.get_by_label("How warm is the water?")).to_have_value("24.9")
    with again.expect_navigation():
        save(again)
    expect(again.locator(".flash").first).to_contain_text("24.9")
    expect(again.locator("[data-unsaved]")).to_be_hidden()
    assert again.evaluate(KEPT) == 0

    (meal,) = lines(record)
    assert (meal.happened_at, meal.recorded_at, meal.hands) == (MONDAY, BACK, "Otter")


def test_pages_in_two_tabs_wait_and_go_by_themselves(
    tablet: Page, home: str, record: Record
) -> None:
    second = tablet.context.new_page()
    fill_feed(tablet, home, "Otter", "24.9")
    second.goto(f"{home}/tank/1/note")
    second.get_by_label("Finch", exact=True).check(force=True)
    second.locator("textarea").first.fill("Bubbles at the filter")
    tablet.context.route("**/icon.svg*", lambda route: route.abort("connectionreset"))
    for page in (tablet, second):
        save(page)
        expect(page.locator(".kept")).to_contain_text("no connection")
    assert second.evaluate(KEPT) == 2

    tablet.context.unroute("**/icon.svg*")
    tablet.clock.fast_forward(A_WHILE)
    for page in (tablet, second):
        page.wait_for_url("**/tank/1/?saved=*")

    assert {line.hands for line in lines(record)} == {"Otter", "Finch"}
    assert second.evaluate(KEPT) == 0


def test_what_is_changed_while_it_waits_waits_for_save(
    tablet: Page, home: str, record: Record
) -> None:
    fill_feed(tablet, home, "Otter", "24")
    tablet.context.set_offline(True)
    save(tablet)
    expect(tablet.locator(".kept")).to_contain_text("no connection")
    tablet.get_by_label("How warm is the water?").fill("24.9")
    tablet.context.set_offline(False)
    tablet.clock.fast_forward(A_WHILE)
    expect(tablet.locator(".kept")).to_contain_text("Press Save when it is right")
    assert lines(record) == ()
    save(tablet)
    tablet.wait_for_url("**/tank/1/?saved=*")
    (meal,) = lines(record)
    assert [reading.typed for reading in meal.readings] == ["24.9"]


def test_the_button_that_says_all_at_once_waits_too(
    adult: Page, home: str, record: Record, clock: FixedClock
) -> None:
    adult.goto(f"{home}/tank/1/look")
    adult.clock.fast_forward(SIX_MINUTES)
    adult.context.set_offline(True)
    adult.get_by_role("button", name="All 16").click()
    expect(adult.locator(".kept")).to_contain_text("no connection")
    clock.moment = BACK
    adult.context.set_offline(False)
    adult.wait_for_url("**/tank/1/?saved=*")
    (look,) = lines(record)
    assert look.happened_at == MONDAY


def test_nobody_finds_the_numbers_of_another_in_their_form(
    adult: Page, school: School, home: str, axe: Callable[[Page], list[str]]
) -> None:
    adult.goto(f"{home}/tank/1/note")
    adult.locator("textarea").first.fill("Ask at home about the fin")
    school.hand_over(adult)
    tablet = adult
    tablet.goto(f"{home}/tank/1/note")
    expect(tablet.locator(".kept")).to_have_count(0)

    fill_feed(tablet, home, "Otter", "24.9")
    tablet.goto(f"{home}/tank/1/feed")
    expect(tablet.locator(".kept")).to_contain_text("Otter wrote something")
    expect(tablet.get_by_label("How warm is the water?")).to_have_value("")
    assert tablet.locator('input[name="hands"]:checked').count() == 0
    tablet.clock.resume()
    assert axe(tablet) == []
    tablet.get_by_role("button", name="Throw it away").click()
    tablet.reload()
    expect(tablet.locator(".kept")).to_have_count(0)


def test_leaving_it_forgets_it(tablet: Page, home: str) -> None:
    fill_feed(tablet, home, "Otter", "24.9")
    assert tablet.evaluate(KEPT) == 1
    tablet.get_by_role("link", name="Leave it").click()
    tablet.wait_for_url("**/tank/1/")
    assert tablet.evaluate(KEPT) == 0


def test_what_was_sent_by_hand_meanwhile_is_not_kept(
    tablet: Page, home: str, record: Record
) -> None:
    fill_feed(tablet, home, "Otter", "24.9")
    tablet.route("**/icon.svg*", lambda route: route.abort("connectionreset"))
    save(tablet)
    expect(tablet.locator(".kept")).to_contain_text("no connection")

    by_hand = tablet.context.new_page()
    by_hand.goto(f"{home}/tank/1/feed")
    by_hand.get_by_role("button", name="Show it").click()
    by_hand.get_by_label("How warm is the water?").fill("25.1")
    with by_hand.expect_navigation():
        save(by_hand)
    assert by_hand.evaluate(KEPT) == 0

    tablet.unroute("**/icon.svg*")
    with tablet.expect_navigation():
        tablet.clock.fast_forward(A_WHILE)
    expect(tablet.locator("h1")).to_have_text("This page was saved before")
    assert tablet.evaluate(KEPT) == 0
    tablet.get_by_role("link", name="Keep what is saved").click()
    expect(tablet.locator("[data-unsaved]")).to_be_hidden()
    (meal,) = lines(record)
    assert [reading.typed for reading in meal.readings] == ["25.1"]


def test_an_answer_of_no_forgets_it(tablet: Page, home: str, record: Record) -> None:
    for tile in ("Otter", "Finch"):
        fill_feed(tablet, home, tile, "24.9")
        with tablet.expect_navigation():
            save(tablet)
    assert tablet.evaluate(KEPT) == 1
    with tablet.expect_navigation():
        tablet.get_by_role("link", name="No, it was the same").click()
    assert len(lines(record)) == 1
    assert tablet.evaluate(KEPT) == 0


def test_without_script_the_page_says_what_to_do(school: School) -> None:
    page = school.open("feed", javascript=False)
    expect(page.locator(".keep-open")).to_contain_text("keep it open")
