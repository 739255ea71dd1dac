"""The sitter's sheet is one page, whatever is on it; the pages of a link can be used by anybody."""

import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Page, expect

from app.domain.drafts import NewStockEvent
from app.domain.records import StockEventKind
from app.domain.sitter import Rhythm
from app.services import tanks
from app.services.livestock import animals
from app.services.papers import texts
from app.services.sharing import links, sitter
from app.services.sharing.links import LinkKind
from app.services.sharing.sitter import NewStay
from app.services.sharing.sitter_sheet import LONGEST_TEXT, TANK_TEXTS
from tests.browser.school import School
from tests.record import MONDAY, Record, new_record

FIRST = date(2027, 2, 8)
LONG = "the drawer on the left behind the second door, "
STAYS = {14: Rhythm.SECOND, 31: Rhythm.EVERY_DAY}


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A tank with eight groups, long names, and every text as long as it may be."""
    made = new_record(tmp_path)
    with made.database.writing() as session:
        groups = [
            animals.add_group(session, 1, f"long-finned animal number {n} of the far valley",
                              "middle", 4.0)
            for n in range(6)
        ]  # fmt: skip
        tank = tanks.tank(session, 1)
        facts = replace(
            tank.facts,
            shape=replace(tank.shape, heater_line_cm=32.0),
            name="The long stream beside the window of Room 12",
            adult="The teacher of the second class upstairs",
            adult_phone="555-0142 or 555-0143, evenings 555-0144",
            deputy="Whoever holds the key of the science rooms",
            deputy_phone="555-0145 or 555-0146, evenings 555-0147",
        )
        tanks.change_tank(session, 1, facts)
        texts.keep_of_tank(session, 1, dict.fromkeys(TANK_TEXTS, (LONG * 4)[:LONGEST_TEXT]))
        for days, rhythm in STAYS.items():
            stay = NewStay(
                label="", first_day=FIRST, last_day=FIRST + timedelta(days=days - 1),
                rhythm=rhythm, scoops=1.0,
            )  # fmt: skip
            sitter.make(session, 1, stay, made_by_id=made.adult.author_id, now=MONDAY)
    for group in groups:
        made.write(NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=9))
    yield made
    made.database.close()


def pages_of(page: Page, size: str) -> list[str]:
    """The text of each page as it comes out of the printer."""
    found = pypdf.PdfReader(io.BytesIO(page.pdf(format=size))).pages
    return [" ".join(each.extract_text().split()) for each in found]


def test_the_sheet_is_one_page(school: School) -> None:
    page = school.open("share")
    for number, days in enumerate(STAYS, start=1):
        page.goto(f"{school.today}share/sitter/{number}/sheet")
        for size in ("Letter", "A4"):
            printed = pages_of(page, size)
            assert len(printed) == 1, (days, size)
            for text in ("Looking after", f"{days} days", "Never give two packets", "Veterinarian",
                         "no food, look only" if days == 14 else "packet 31"):  # fmt: skip
                assert text in printed[0]
            assert "Share and print" not in printed[0]


def test_a_stranger_can_use_the_pages_of_a_link(
    school: School, axe: Callable[[Page], list[str]]
) -> None:
    record = school.record
    with record.database.writing() as session:
        last, author = FIRST + timedelta(days=9), record.adult.author_id
        stay = NewStay(
            label="", first_day=FIRST, last_day=last, rhythm=Rhythm.EVERY_DAY, scoops=1.0
        )
        _, sitters = sitter.make(session, 1, stay, made_by_id=author, now=MONDAY)
        _, families = links.make(
            session, 1, LinkKind.FAMILY, label="", first_day=FIRST, last_day=last,
            made_by_id=author, now=MONDAY,
        )  # fmt: skip
    page = school.open_page(f"{school.address}/v/{families}", width=320)
    faults = axe(page)
    page.goto(f"{school.address}/v/{sitters}")
    faults += axe(page)
    page.get_by_label("It is in the water").check(force=True)
    page.get_by_label("How warm is the water?").fill("24.6")
    with page.expect_navigation():
        page.get_by_role("button", name="Something is odd").click()
    faults += axe(page)
    page.get_by_role("button", name="I see fewer fish").click()
    expect(page.get_by_text("Written down: I see fewer fish.")).to_be_visible()
    page.get_by_role("link", name="Back to the visit").click()
    expect(page.get_by_text("Packet 1 is already ticked. Skip today.")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert faults == []
