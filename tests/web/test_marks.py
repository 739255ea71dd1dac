"""A task that somebody puts off, skips or gives away: kept with its reason, and it comes back."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook
from app.domain.records import JobKind, Sign
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.test_today import write_all_tests, write_usual_life
from tests.web.visits import csrf_of, fields_of, seen, words_of

KEY = "routine-glass"
TITLE = "Wipe the front glass"
URL = f"/tank/1/to-do/{KEY}"


@pytest.fixture(autouse=True)
def the_glass_is_due(record: Record) -> None:
    write_usual_life(record)
    write_all_tests(record, MONDAY - timedelta(days=3))
    record.write(NewJob(job=JobKind.GLASS), at=MONDAY - timedelta(days=9))


def say(client: CheckedClient, url: str = URL, **typed: str) -> int:
    form = fields_of(client.get(url).text) | {"until": "1"} | typed
    return int(client.post(url, data=form).status_code)


def shown(client: CheckedClient) -> tuple[str, str]:
    """The list of tasks, and what is set aside; what was just said is read and gone."""
    client.get("/tank/1/to-do")
    text = seen(client, "/tank/1/to-do")
    main, _, aside = text.partition("Set aside")
    return main, aside


def test_later_needs_a_reason(adult: CheckedClient) -> None:
    form = fields_of(adult.get(URL).text) | {"way": "later", "until": "3", "reason": ""}
    answer = adult.post(URL, data=form)
    assert answer.status_code == 422
    assert "Say why in a few words." in words_of(answer.text)
    assert TITLE in shown(adult)[0]


@pytest.mark.parametrize(("way", "words"), [("later", "Later"), ("skipped", "Not this time")])
def test_it_stands_aside_with_its_reason(adult: CheckedClient, way: str, words: str) -> None:
    assert say(adult, way=way, until="3", reason="no cloth here") == 303
    main, aside = shown(adult)
    assert TITLE not in main
    assert TITLE in aside
    assert f"{words}, until" in aside
    assert "no cloth here" in aside


def test_it_comes_back_on_its_day(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    say(adult, way="later", until="1", reason="no cloth here")
    assert TITLE not in shown(adult)[0]
    clock.moment = record.now = MONDAY + timedelta(days=1)
    assert TITLE in shown(adult)[0]
    assert "no cloth here" in seen(adult, URL), "the history stays"


def test_it_can_be_brought_back(adult: CheckedClient) -> None:
    say(adult, way="skipped", until="7", reason="guests")
    page = adult.get("/tank/1/to-do").text
    address = page.split('<form method="post" action="')[1].split('"')[0]
    answer = adult.post(address, data={"csrf_token": csrf_of(adult, "/tank/1/to-do")})
    assert answer.status_code == 303
    assert TITLE in shown(adult)[0]


def test_somebody_does_it(adult: CheckedClient) -> None:
    assert say(adult, way="assigned", to="Otter") == 303
    assert "Otter does it" in shown(adult)[0]


def test_nobody_named_is_asked(adult: CheckedClient) -> None:
    form = fields_of(adult.get(URL).text) | {"way": "assigned", "until": "1", "to": ""}
    answer = adult.post(URL, data=form)
    assert answer.status_code == 422
    assert "Say who does it." in words_of(answer.text)


def test_doing_it_clears_it_however_it_was_marked(adult: CheckedClient, record: Record) -> None:
    say(adult, way="later", until="7", reason="no cloth here")
    record.write(NewJob(job=JobKind.GLASS))
    main, aside = shown(adult)
    assert TITLE not in main + aside


def test_what_asks_for_help_now_offers_no_later(adult: CheckedClient, record: Record) -> None:
    record.write(NewLook(signs=(Sign.GASPING,)))
    page = adult.get("/tank/1/to-do").text
    address = next(p for p in page.split('"') if p.startswith("/tank/1/to-do/sign-gasping"))
    assert "Not this time" not in words_of(adult.get(address).text).partition("Not now?")[2]
    assert say(adult, address, way="later", until="1", reason="busy") == 422


def test_helpers_mark_nothing(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code in {403, 404}
    assert helper.post("/tank/1/marks/1/end").status_code in {400, 403, 404}
