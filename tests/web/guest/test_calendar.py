"""The calendar behind a link: made, asked for, closed."""

import re
from datetime import timedelta

import pytest
import vobject
from flask import Flask

from app.clock import FixedClock
from app.domain.drafts import NewMeal
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import opened, save
from tests.web.guest.linking import FAMILY, INVENTED, guest, made
from tests.web.guest.test_closed import DAYS, closed, whole
from tests.web.visits import seen

FORM = "/tank/1/share/calendar"


def calendar_link(adult: CheckedClient, label: str = "My phone") -> str:
    answer = save(adult, FORM, label=label)
    found = re.search(r"<code>http://localhost(/calendar/[\w-]{32}\.ics)</code>", answer.text)
    assert found, answer.text
    return found[1]


def test_a_calendar_program_reads_what_is_planned(
    app: Flask, adult: CheckedClient, record: Record
) -> None:
    record.write(NewMeal(scoops=1.0), by=record.otter)
    path = calendar_link(adult)
    answer = guest(app).get(path)

    assert answer.status_code == 200
    assert answer.content_type == "text/calendar; charset=utf-8"
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Robots-Tag"] == "noindex"
    assert "Set-Cookie" not in answer.headers
    assert not [name for name in ("Otter", "Finch", record.adult.name) if name in answer.text]
    read = vobject.readOne(answer.text)
    assert read.version.value == "2.0"
    assert "Feed: 1 scoop" in [e.summary.value for e in read.vevent_list]
    assert "My phone" in seen(adult, "/tank/1/share")
    assert "Monday 8 February 2027" in seen(adult, "/tank/1/share")  # last used


def test_the_same_form_twice_makes_one_link(adult: CheckedClient) -> None:
    form = opened(adult, FORM)
    first, second = (adult.post(FORM, data=form).text for _ in range(2))
    address = re.search(r"/calendar/[\w-]{32}", first)
    assert address
    assert address[0] in second


def test_dead_and_invented_addresses_are_one_page(
    app: Flask, adult: CheckedClient, clock: FixedClock
) -> None:
    path = calendar_link(adult)
    family = made(adult, FAMILY, **DAYS).removeprefix("/v/")
    assert guest(app).get(path).status_code == 200
    clock.moment += timedelta(days=400)
    assert guest(app).get(path).status_code == 200, "it has no last day"
    clock.moment -= timedelta(days=400)
    closed(adult, 1)
    told = [
        guest(app).get(each)
        for each in (
            path,
            f"/calendar/{family}.ics",
            "/calendar/x.ics",
            f"/calendar/{'A' * 400}.ics",
        )
    ]
    assert {repr(whole(each)) for each in told} == {repr(whole(guest(app).get(INVENTED)))}


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_nothing_can_be_written_through_it(app: Flask, adult: CheckedClient, method: str) -> None:
    path = calendar_link(adult)
    assert getattr(guest(app), method)(path).status_code in {400, 405}


def test_only_keepers_make_one(helper: CheckedClient) -> None:
    assert helper.get(FORM).status_code == 403
