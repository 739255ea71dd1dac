"""A week of a class with 26 tiles and two tablets: who is on duty feeds and reads, in six taps."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app.domain.records import EntryStatus
from app.domain.rota import DutySpan
from app.services import story, tanks
from app.services.school import classes, rota, tiles
from app.services.school.classes import ClassFacts
from tests.browser.hands import Finger
from tests.browser.school import School
from tests.record import MONDAY, Record, new_record

TILES = 26
TAPS = 6


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A class of 26 tiles, two on duty each day, with its week planned."""
    made = new_record(tmp_path)
    with made.database.writing() as session:
        group = classes.classes(session)[0]
        tiles.add_some(session, TILES - 2, group.id)
        facts = ClassFacts(
            name="Class 3", tank_ids=frozenset({made.tank_id}), duty_size=2, duty_span=DutySpan.DAY
        )
        classes.change(session, group.id, facts)
        rota.plan_week(session, group.id, MONDAY.date(), today=MONDAY.date())
        plan = tanks.tank(session, made.tank_id).plan
        assert plan.feed_weekdays >= frozenset(range(5))
    yield made
    made.database.close()


def on_duty(page: Page) -> list[str]:
    """The names that Today shows as on duty."""
    return [name.strip() for name in page.locator(".on-duty > *").all_inner_texts()]


def test_a_week_of_school_days(school: School) -> None:
    teacher = school.adult(has_touch=True)
    tablets = [school.tablet(has_touch=True) for _ in range(2)]
    fed_by: list[str] = []
    for day in range(5):
        school.clock.moment = MONDAY + timedelta(days=day)
        page = tablets[day % 2]
        if day == 2:
            _let_another_stand_in(teacher, school)
        page.goto(school.today)
        first = on_duty(page)[0]
        expect(page.locator(".feed-not")).to_contain_text("NOT FED")

        finger = Finger(page)
        _feed(finger, "24.9" if day != 3 else "42.9")
        if day == 3:
            # the digits stood the wrong way round: the page asks, and nothing is saved yet
            expect(page.locator(".error").first).to_be_visible()
            page.get_by_label("How warm is the water?").fill("24.9")
            page.locator(".save-bar button").tap()
        else:
            assert finger.taps <= TAPS
        expect(page.locator(".flash").first).to_contain_text("24.9")
        expect(page.locator(".flash").first).to_contain_text(first)
        fed_by.append(first)
        if day == 0:
            _take_back_and_feed_again(page, first)
        if day == 1:
            _fix_the_temperature(page)
        _the_other_tablet_says_so(tablets[(day + 1) % 2], school.today)

    assert len(set(fed_by)) == 5
    with school.record.database.reading() as session:
        lines = story.story(session, school.record.tank_id).lines
    meals = [
        line
        for line in lines
        if line.title.startswith("Fed")
        and line.happened_at >= MONDAY
        and line.status is EntryStatus.OK
    ]
    assert [meal.hands for meal in reversed(meals)] == fed_by
    assert [meal.readings[0].typed for meal in reversed(meals)] == ["24.9", "24.8", *["24.9"] * 3]


def _feed(finger: Finger, warm: str) -> None:
    """From Today: Feed now, the digits, Save."""
    finger.press(finger.page.get_by_role("link", name="Feed now"))
    finger.page.wait_for_url("**/feed")
    finger.write(finger.page.get_by_label("How warm is the water?"), warm)
    with finger.page.expect_navigation():
        finger.press(finger.page.locator(".save-bar button"))


def _let_another_stand_in(teacher: Page, school: School) -> None:
    """The first of the day is away: one tap of the teacher puts the next tile there."""
    teacher.goto(f"{school.address}/classes/1")
    before = teacher.locator(".rota .on").inner_text()
    finger = Finger(teacher)
    with teacher.expect_navigation():
        finger.press(teacher.locator(".rota .on button").first)
    assert finger.taps == 1
    assert teacher.locator(".rota .on").inner_text() != before


def _take_back_and_feed_again(page: Page, first: str) -> None:
    """A slip is undone with one tap, and the meal is written again."""
    finger = Finger(page)
    with page.expect_navigation():
        finger.press(page.locator(".flash").get_by_role("button", name="Undo"))
    expect(page.locator(".feed-not")).to_contain_text("NOT FED")
    _feed(finger, "24.9")
    expect(page.locator(".flash").first).to_contain_text(first)


def _fix_the_temperature(page: Page) -> None:
    page.locator(".flash").get_by_role("link", name="Fix").tap()
    page.get_by_label("How warm is the water?").fill("24.8")
    page.locator(".choice", has=page.locator('input[name="reason"]')).first.click()
    with page.expect_navigation():
        page.locator(".save-bar button").tap()
    expect(page.locator(".flash").first).to_contain_text("24.8")


def _the_other_tablet_says_so(page: Page, today: str) -> None:
    """Nobody feeds twice: the other tablet says FED, and offers no Feed now."""
    page.goto(today)
    expect(page.locator(".feed-fed")).to_contain_text("FED")
    expect(page.get_by_role("link", name="Feed now")).to_have_count(0)
