"""Papers as the browser prints them: how many pages, what each page carries, no barrier."""

import io
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from playwright.sync_api import Page, expect
from sqlalchemy.orm import Session

from app.domain.drafts import Draft, NewJob, NewLook, NewStockEvent, NewTest
from app.domain.guard import NewReading
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind
from app.services import entries
from app.services.livestock import animals, plants
from app.services.livestock.plants import PlantDraft
from app.services.school import classes, rota, tiles
from app.services.school.classes import ClassFacts
from app.services.transaction import one_transaction
from app.web.papers.registry import PAPERS
from tests.browser.school import School
from tests.record import MONDAY, ONE_SCOOP, Record, new_record, reading

HEAD = ("Brook · Hill School", "Printed Monday 8 February 2027, 8:41 am")
# papers that hang or are cut out are one page, and a vet's sheet is two: also of a full record
EXACTLY = {
    "papers.wall_chart": 1,
    "papers.flip_card": 1,
    "papers.substitute_card": 1,
    "papers.strip": 1,
    "papers.vet": 2,
}
AT_MOST = {
    "papers.welfare": 4,
    "papers.risk": 2,
    "papers.transfer": 2,
    "papers.incident": 2,
    "papers.year": 4,
}
TESTED = (
    Quantity.PH, Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE, Quantity.KH, Quantity.GH,
)  # fmt: skip


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A month in which nearly everything happened, in a tank with eight kinds of animals."""
    made = new_record(tmp_path)
    with made.database.writing() as session, one_transaction(session):
        put_six_on_duty(session, made)
        for number in range(6):
            name = f"long-finned animal number {number} of the far valley"
            group = animals.add_group(session, made.tank_id, name, "middle", 4.0)
            plants.add(session, made.tank_id, PlantDraft(name=f"water plant number {number}"))
            came = NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=5 + number)
            write(made, session, came, at=MONDAY - timedelta(days=150 - number))
            loss = NewStockEvent(what=StockEventKind.DIED, group_id=group, count=1)
            write(made, session, loss, at=MONDAY - timedelta(days=20 - number))
        for ago in range(1, 30, 2):
            at = MONDAY - timedelta(days=ago)
            write(made, session, ONE_SCOOP, reading(Quantity.TEMPERATURE, 24 + ago / 50), at=at)
            values = (reading(q, 5.0, low=2.5, high=10.0) for q in TESTED)
            write(made, session, NewTest(), *values, at=at)
            if ago % 3 == 0:
                signs = NewLook(signs=(Sign.HIDING, Sign.RUBBING, Sign.CLAMPED_FINS))
                write(made, session, signs, at=at)
                write(made, session, NewJob(job=JobKind.TREATMENT, note="as labeled"), at=at)
    yield made
    made.database.close()


def put_six_on_duty(session: Session, made: Record) -> None:
    """As many tiles a day as a class may put on duty."""
    group = classes.classes(session)[0]
    tiles.add_some(session, 6, group.id)
    facts = ClassFacts(name="Class 3", tank_ids=frozenset({made.tank_id}), duty_size=6)
    classes.change(session, group.id, facts)
    rota.plan_week(session, group.id, MONDAY.date(), today=MONDAY.date())


def write(made: Record, session: Session, draft: Draft, *values: NewReading, at: datetime) -> None:
    """One entry inside the transaction of the whole month."""
    entries.record(session, made.stamp(at=at), draft, values, now=made.now)


@pytest.fixture
def page(school: School) -> Page:
    """Share and print, as the adult in charge has it."""
    return school.open("share")


def printed(page: Page, size: str) -> list[str]:
    """The text of each page, as it comes out of the printer."""
    found = pypdf.PdfReader(io.BytesIO(page.pdf(format=size))).pages
    return [" ".join(each.extract_text().split()) for each in found]


def open_paper(page: Page, title: str) -> None:
    """Open a paper from the page that lists them; an incident report is made first."""
    page.goto(f"{page.url.partition('/tank')[0]}/tank/1/share")
    with page.expect_navigation():
        page.get_by_role("link", name=title, exact=True).click()
    expect(page.get_by_role("heading", name=title, level=1)).to_be_visible()
    if title == "Incident report":
        for box in page.locator('input[name="facts"]').all()[:12]:
            box.check(force=True)
        page.get_by_label("What happened").fill("The heater failed. " * 20)
        page.get_by_label("Which grown-up approves it").fill("Ms. Ruiz")
        with page.expect_navigation():
            page.get_by_role("button", name="Make the report").click()
        expect(page.get_by_role("heading", name="Approved by")).to_be_visible()


def test_every_paper_fits_carries_its_head_and_shows_nothing_but_itself(
    page: Page, axe: Callable[[Page], list[str]]
) -> None:
    faults = []
    for paper in PAPERS:
        open_paper(page, paper.title)
        for size in ("Letter", "A4"):
            texts = printed(page, size)
            many, where = len(texts), f"{paper.title} on {size}"
            wanted = EXACTLY.get(paper.endpoint)
            if wanted not in {None, many} or many > AT_MOST.get(paper.endpoint, many):
                faults.append(f"{where}: {many} pages")
            for number, text in enumerate(texts, 1):
                lacking = [part for part in (*HEAD, f"{number} of {many}") if part not in text]
                faults += [f"{where}, page {number}: no {part!r}" for part in lacking]
            everything = " ".join(texts)
            screen = ("Write down Charts", "Back", "http", "Show it")
            faults += [f"{where}: shows {word!r}" for word in screen if word in everything]
        page.emulate_media(media="print")
        faults += [f"{paper.title}: {fault}" for fault in axe(page)]
        page.emulate_media(media="null")
    assert "\n".join(faults) == ""


def test_a_wall_chart_grows_with_its_sheet_and_stays_one_page(page: Page) -> None:
    open_paper(page, "Wall chart")
    heights = {size: height_of_a_number(page, size) for size in ("Letter", "A4", "Tabloid", "A3")}
    # 24 pt on small sheets, for a class that stands a few steps away
    assert heights["Letter"] >= 24
    assert heights["A4"] >= 24
    assert heights["Tabloid"] > 1.4 * heights["Letter"]
    assert heights["A3"] > 1.4 * heights["Letter"]


def height_of_a_number(page: Page, size: str) -> float:
    """The type size in points in which the eighth of the month stands on the only page."""
    (sheet,) = pypdf.PdfReader(io.BytesIO(page.pdf(format=size))).pages
    assert sheet.mediabox.width > sheet.mediabox.height, "it lies across by itself"
    found: list[float] = []

    def note(text: str, shift: list[float], text_shift: list[float], _: Any, points: float) -> None:
        if text.strip() == "8":
            found.append(abs(points * shift[3] * text_shift[3]))

    sheet.extract_text(visitor_text=note)
    return max(found)
