"""The jobs that are done most often: how many taps they take, and all of them by keyboard alone."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.domain.records import EntryStatus
from app.services import kits, sites, story
from app.services.school import rota
from tests.browser.hands import Finger, Hand, Keyboard
from tests.browser.school import School
from tests.record import ALL_FINE, MONDAY, Record, new_record, reading

CARDS = {
    Quantity.AMMONIA: ("mg/L", "as N", (0, 0.25, 0.5, 1, 2)),
    Quantity.NITRITE: ("mg/L", "as N", (0, 0.25, 0.5, 1)),
    Quantity.NITRATE: ("mg/L", "as nitrate", (5, 10, 20, 40)),
    Quantity.PH: ("", "", (6.5, 7, 7.5, 8)),
}


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A class on Monday morning: a look on Friday, cards for four readings, a rota."""
    made = new_record(tmp_path)
    made.write(ALL_FINE, reading(Quantity.TEMPERATURE, 24.8), at=MONDAY - timedelta(days=3))
    with made.database.writing() as session:
        for quantity, (unit, basis, steps) in CARDS.items():
            facts = KitFacts(quantity=quantity, name="Card", unit=unit, basis=basis, steps=steps)
            kits.add_kit(session, sites.FIRST, facts)
        rota.plan_week(session, 1, MONDAY.date(), today=MONDAY.date())
    yield made
    made.database.close()


def in_sight(target: Locator) -> bool:
    """Whether it is seen as the page opens, without scrolling."""
    box, size = target.bounding_box(), target.page.viewport_size
    assert box is not None
    assert size is not None
    return box["y"] >= 0 and box["y"] + box["height"] <= size["height"]


def link(page: Page, name: str) -> Locator:
    return page.locator("main").get_by_role("link", name=name, exact=True).first


def save(hand: Hand) -> None:
    with hand.page.expect_navigation():
        hand.press(hand.page.locator(".save-bar button"))


def said(hand: Hand, words: str) -> None:
    """What stands on Today after a save."""
    expect(hand.page.locator(".flash").first).to_contain_text(words)


def see_whether_they_were_fed(hand: Hand) -> None:
    assert in_sight(hand.page.locator(".feed-not"))
    expect(hand.page.locator(".feed-not")).to_contain_text("NOT FED")


def see_whether_anything_is_wrong(hand: Hand) -> None:
    assert in_sight(hand.page.locator(".state-big"))


def ask_why(hand: Hand) -> None:
    hand.press(hand.page.locator("summary", has_text="Why?").first)
    expect(hand.page.locator(".why").first).to_be_visible()


def feed(hand: Hand) -> None:
    hand.press(link(hand.page, "Feed now"))
    save(hand)
    expect(hand.page.locator(".feed-fed")).to_contain_text("FED")


def undo(hand: Hand) -> None:
    with hand.page.expect_navigation():
        hand.press(hand.page.locator(".flash").get_by_role("button", name="Undo"))
    expect(hand.page.locator(".feed-not")).to_contain_text("NOT FED")


def feed_and_read(hand: Hand) -> None:
    hand.press(link(hand.page, "Feed now"))
    hand.write(hand.page.get_by_label("How warm is the water?"), "24.9")
    save(hand)
    said(hand, "24.9")


def fix(hand: Hand) -> None:
    hand.press(hand.page.locator(".flash").get_by_role("link", name="Fix"))
    hand.press(hand.page.locator('input[name="reason"]').first)
    save(hand)
    said(hand, "Saved")


def look_and_count(hand: Hand) -> None:
    hand.press(link(hand.page, "Look and count"))
    with hand.page.expect_navigation():
        hand.press(hand.page.get_by_role("button", name="All 16"))
    expect(hand.page.locator(".reading", has_text="Fish seen")).to_contain_text("16")


def show_the_chart(hand: Hand) -> None:
    hand.press(hand.page.locator(".nav").get_by_role("link", name="Charts", exact=True))
    expect(hand.page.locator(".chart").first).to_be_visible()


def read_four_cards(hand: Hand) -> None:
    hand.press(link(hand.page, "Test water"))
    for quantity in CARDS:
        hand.press(hand.page.locator(f'input[name="{quantity.value}"]').nth(2))
    save(hand)
    said(hand, "Saved")


def do_what_is_due(hand: Hand) -> None:
    job = hand.page.locator(".tasks .task", has=hand.page.locator(".actions a[href*='/job']")).first
    hand.press(job.locator(".actions a"))
    save(hand)
    said(hand, "Saved")


def change_water(hand: Hand) -> None:
    """From the label on the tank; the liters are typed on the tablet's own keys."""
    hand.page.goto(hand.page.url.partition("/tank")[0] + "/t/1")
    hand.press(link(hand.page, "Water change"))
    hand.press(hand.page.locator('input[name="treated"][value="yes"]'))
    liters = hand.page.get_by_label("Water out", exact=True)
    hand.press(liters)
    liters.fill("")
    hand.page.keyboard.type("20")
    save(hand)
    said(hand, "20")


Job = Callable[[Hand], None]
# at most so many taps, digits included
BY_HELPERS: tuple[tuple[Job, int], ...] = (
    (see_whether_they_were_fed, 0),
    (see_whether_anything_is_wrong, 0),
    (ask_why, 1),
    (feed, 2),
    (undo, 1),
    (feed_and_read, 6),
    (fix, 3),
    (look_and_count, 2),
    (show_the_chart, 2),
    (read_four_cards, 10),
)
BY_ADULTS: tuple[tuple[Job, int], ...] = ((do_what_is_due, 2), (change_water, 4))
# what was just saved stands on Today, with Undo and Fix
GO_ON = {undo, fix}


@pytest.mark.parametrize("kind", [Finger, Keyboard], ids=["taps", "keyboard"])
def test_the_ten_jobs(school: School, kind: Callable[[Page], Hand]) -> None:
    more = {"has_touch": kind is Finger, "reduced_motion": "reduce"}
    for page, jobs in ((school.tablet(**more), BY_HELPERS), (school.adult(**more), BY_ADULTS)):
        for job, most in jobs:
            if job not in GO_ON:
                page.goto(school.today)
            hand = kind(page)
            job(hand)
            assert kind is Keyboard or hand.taps <= most, f"{job.__name__}: {hand.taps} taps"

    with school.record.database.reading() as session:
        lines = story.story(session, school.record.tank_id).lines
    new = [x for x in lines if x.happened_at >= MONDAY and x.status is EntryStatus.OK]
    assert len(new) == 5, "fed, looked, tested, a job that was due, water changed"
