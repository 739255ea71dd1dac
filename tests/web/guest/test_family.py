"""What families see of a week: facts, no names, no notes, no loss that was not told."""

import io
import re
from datetime import date, datetime, timedelta
from urllib.parse import urlsplit

import pytest
from flask import Flask
from justhtml import JustHTML
from PIL import Image
from werkzeug.routing import AnyConverter, BaseConverter

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook, NewMeal, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind
from app.services import photos
from app.services.photos import PhotoFacts
from app.services.school import school_days
from app.web.request import DayConverter
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading
from tests.web.filling import opened
from tests.web.guest.linking import FAMILY, SITTER, guest, made
from tests.web.visits import seen, words_of

DAYS = {"label": "Parents of 5-Heron", "first_day": "2027-02-08", "last_day": "2027-06-18"}
STAY = {"label": "Neighbor", "first_day": "2027-02-08", "last_day": "2027-02-20", "scoops": "1"}
SECRETS = ("Otter", "Finch", "Comet’s secret", "5-Heron", "Neighbor", "Grown-up in charge")
DAY = timedelta(days=1)


@pytest.fixture
def week(record: Record, clock: FixedClock) -> datetime:
    """A school week up to Friday 12 February: fed and looked at each day, two changes."""
    friday = clock.now() + 4 * DAY
    clock.moment = record.now = friday
    for back, celsius in zip(range(5), (24.6, 25.1, 24.2, 23.9, 24.4), strict=True):
        at = friday - back * DAY
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, celsius), at=at, by=record.otter)
        record.write(ALL_FINE, at=at, by=record.finch)
    for back in (1, 3):
        record.write(NewJob(job=JobKind.WATER_CHANGE, liters_out=13.0), at=friday - back * DAY)
    for back, nitrate in ((4, 12.0), (1, 18.0)):
        record.write(NewTest(), reading(Quantity.NITRATE, nitrate), at=friday - back * DAY)
    record.write(NewLook(seen=16, note="Comet’s secret"), at=friday, by=record.finch)
    return friday


@pytest.fixture
def hidden_loss(record: Record, week: datetime) -> None:
    """A loss that pupils and families were not told of."""
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, hidden=True)
    record.write(loss, at=week)


def test_the_week_in_plain_words(app: Flask, adult: CheckedClient, week: datetime) -> None:
    assert week
    page = seen(guest(app), made(adult, FAMILY, **DAYS))

    for text in (
        "Brook", "Fed on 5 of 5 days with food planned.", "Somebody looked on 5 of 5 days.",
        "The water was 23.9 to 25.1 °C warm.", "Water was changed twice, 26 L in all.",
        "Nitrate, last test: 18 mg/L (as nitrate).", "10 harlequin rasbora", "6 peppered cory",
    ):  # fmt: skip
        assert text in page
    assert "The chart of nitrate" in page


def test_a_month_and_a_coming_break(
    app: Flask, adult: CheckedClient, record: Record, week: datetime
) -> None:
    with record.database.writing() as session:
        school_days.add(
            session, 1, (week + 10 * DAY).date(), (week + 14 * DAY).date(), "Spring break"
        )
    page = seen(guest(app), made(adult, FAMILY, **DAYS) + "?span=month")

    assert "The month up to Friday 12 February 2027" in page
    assert "Spring break: Monday 22 February to Friday 26 February 2027." in page
    assert "Visits are not arranged yet." in page


def test_a_loss_is_told_after_the_class_knows(
    app: Flask, adult: CheckedClient, record: Record, week: datetime
) -> None:
    path = made(adult, FAMILY, **DAYS)
    record.write(NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, hidden=True), at=week)
    before = seen(guest(app), path)
    assert "10 harlequin rasbora" in before
    assert "died" not in before

    record.write(NewStockEvent(what=StockEventKind.DIED, group_id=2, count=2), at=week)
    after = seen(guest(app), path)
    assert "2 peppered cory died." in after
    assert "4 peppered cory" in after
    assert "10 harlequin rasbora" in after


def test_an_unwatched_tank_says_so(app: Flask, adult: CheckedClient) -> None:
    page = seen(guest(app), made(adult, FAMILY, **DAYS))

    assert "Don’t know" in page
    assert "Nobody has looked for a while." in page
    assert "Nobody read the thermometer." in page


@pytest.mark.parametrize(("form", "days"), [(FAMILY, DAYS), (SITTER, STAY)])
def test_a_link_leads_nowhere_else(
    app: Flask, adult: CheckedClient, hidden_loss: None, form: str, days: dict[str, str]
) -> None:
    assert hidden_loss is None
    start = made(adult, form, **days)
    found, waiting = set[str](), {start}
    while waiting:
        path = waiting.pop()
        found.add(path)
        page = guest(app).get(path)
        assert page.status_code == 200, path
        assert [secret for secret in SECRETS if secret in page.text] == []
        assert "9 harlequin" not in words_of(page.text)
        waiting |= _ways(page.text, path) - found
    assert all(path.startswith(start) for path in found)


def test_nobody_writes_through_a_family_link(
    app: Flask, adult: CheckedClient, record: Record, week: datetime
) -> None:
    assert week
    family = guest(app)
    path = made(adult, FAMILY, **DAYS)
    family.get(path)
    with record.database.reading() as session:
        before = session.connection().exec_driver_sql("SELECT count(*) FROM entry").scalar_one()
    stolen = opened(guest(app), made(adult, SITTER, **STAY)) | {"found": "help"}
    own = {"token": path.removeprefix("/v/"), "found": "odd"}
    with app.test_request_context():
        adapter = app.url_map.bind("localhost")
        for rule in app.url_map.iter_rules():
            if "POST" not in (rule.methods or ()):
                continue
            some = {name: _value_for(kind) for name, kind in rule._converters.items()}
            values = some | {name: own[name] for name in own.keys() & some.keys()}
            answer = family.post(adapter.build(rule.endpoint, values), data=stolen)
            assert answer.status_code in {400, 401, 403, 404, 422}, rule.endpoint
    with record.database.reading() as session:
        after = session.connection().exec_driver_sql("SELECT count(*) FROM entry").scalar_one()
    assert after == before


def test_only_a_photo_that_an_adult_showed_is_seen(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    path = made(adult, FAMILY, **DAYS)
    file = io.BytesIO()
    Image.new("RGB", (80, 64), "green").save(file, "JPEG")
    assert guest(app).get(f"{path}/photo.jpg").status_code == 404
    for shown in (False, True):
        with record.database.writing() as session:
            photos.add(
                session, 1, photos.read(file.getvalue()), PhotoFacts(taken_at=clock.now()),
                author_id=record.otter, shown=shown, token=f"photo-{shown}", now=clock.now(),
            )  # fmt: skip
        page = guest(app).get(path)
        assert (f"{path}/photo.jpg" in page.text) is shown
    picture = guest(app).get(f"{path}/photo.jpg")
    assert (picture.status_code, picture.mimetype) == (200, "image/jpeg")
    assert "no-store" in picture.headers["Cache-Control"]
    assert "ETag" not in picture.headers


def _value_for(kind: BaseConverter) -> object:
    """Something that may stand in an address for this kind of part."""
    if isinstance(kind, DayConverter):
        return date(2027, 2, 12)
    return min(kind.items) if isinstance(kind, AnyConverter) else 1


def _ways(html: str, here: str) -> set[str]:
    """Where the links of a page lead, without style sheets and places on the page itself."""
    tree = JustHTML(html, sanitize=False)
    hrefs = [(e.attrs or {}).get("href") or "" for e in tree.query("a[href]")]
    paths = {re.sub("#.*", "", href) for href in hrefs}
    return {path if path.startswith("/") else urlsplit(here).path + path for path in paths - {""}}


def test_a_meal_in_words_is_a_meal(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    record.write(NewMeal(scoops=None, amount_words="pea of Otter"))

    page = seen(guest(app), made(adult, FAMILY, **DAYS))
    assert "Fed on 1 of " in page
    assert "pea" not in page
    assert clock.now() == record.now


@pytest.mark.parametrize(("form", "last"), [(FAMILY, "2027-05-08"), (SITTER, "2027-02-21")])
def test_the_form_of_a_new_link_has_its_days_filled_in(
    adult: CheckedClient, form: str, last: str
) -> None:
    typed = opened(adult, form)
    assert (typed["first_day"], typed["last_day"]) == ("2027-02-08", last)
    # whoever changes nothing gets a link that opens on this very day
    assert seen(guest(adult.application), made(adult, form))
