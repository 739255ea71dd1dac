"""A growing filter: its page, ammonia that was added, animals that come before it is ready."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest
from werkzeug.test import TestResponse

from app.domain.drafts import NewJob, NewTest
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, JobKind
from app.services import tanks, tasks
from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.web.filling import form_on, lines, opened, save, saved_id
from tests.web.test_statements import statements
from tests.web.visits import seen, words_of

READY, YOUNG = "/tank/1/maturing", "/tank/2/maturing"
AMMONIA = "/tank/2/ammonia-entry"
GROUP = "/tank/2/animals/3"


@pytest.fixture
def young(record: Record) -> Record:
    """A new tank beside the old one, with an empty group; nothing is tested yet."""
    with record.database.writing() as session:
        facts = tanks.tank(session, record.tank_id).facts
        started = (MONDAY - timedelta(days=30)).date()
        record.tank_id = tanks.add_tank(
            session, replace(facts, name="New", mature_on=None, started_on=started)
        )
        animals.add_group(session, record.tank_id, "neon tetra")
    return record


def measured(record: Record, days: float, ammonia: float, nitrite: float) -> None:
    record.write(
        NewTest(),
        reading(Quantity.AMMONIA, ammonia),
        reading(Quantity.NITRITE, nitrite),
        at=MONDAY - timedelta(days=days),
    )


def halfway(record: Record) -> None:
    for days, ammonia, nitrite in ((9, 2.0, 0.0), (7, 1.5, 0.0), (5, 1.0, 0.1), (3, 0.5, 1.0)):
        measured(record, days, ammonia, nitrite)


def in_order(text: str, parts: Sequence[str]) -> bool:
    places = [text.find(part) for part in parts]
    return -1 not in places and places == sorted(places)


def test_a_filter_that_is_ready_is_said_calmly(adult: CheckedClient) -> None:
    page = seen(adult, READY)
    assert "The filter is ready." in page
    assert "A grown-up wrote that it was ready on" in page
    assert "Because" not in page
    assert "If nothing moves" not in page


def test_a_new_filter_is_not_yet_ready_and_says_why(adult: CheckedClient, young: Record) -> None:
    page = seen(adult, YOUNG)
    assert "No test of ammonia and nitrite so far." in page
    assert "The bacteria need food: ammonia up to 2 mg/L" in page
    assert page.count("not seen yet") == 4


def test_the_stages_stand_in_order_with_the_day_each_was_first_seen(
    adult: CheckedClient, young: Record
) -> None:
    """By hand: the fourth test is of Friday, with ammonia falling and nitrite over 0.25."""
    halfway(young)
    page = seen(adult, YOUNG)
    assert "this far since Friday 5 February" in page
    assert in_order(
        page,
        (
            "Ammonia goes up Ammonia is 0.5 mg/L or more, and nitrite below 0.25 mg/L. no day",
            "Ammonia goes down, nitrite goes up (this tank)",
            "Friday 5 February Nitrite goes down",
            "nitrate rises. not seen yet",
        ),
    )


def test_what_it_rests_on_leads_to_the_entries(adult: CheckedClient, young: Record) -> None:
    halfway(young)
    added = young.write(NewJob(job=JobKind.AMMONIA_ADDED, mg_per_l=2.0)).entry_id
    page = adult.get(YOUNG).text
    tests = [line.entry_id for line in lines(young, EntryKind.WATER_TEST)]
    assert len(tests) == 4
    assert all(f'href="/tank/2/entry/{entry}"' in page for entry in (*tests, added))
    assert all(f"/tank/2/charts/{q}" in page for q in ("ammonia", "nitrite", "nitrate"))
    assert "Ammonia added, up to 2.00 mg/L (as N)" in words_of(page)


def test_no_day_is_promised(adult: CheckedClient, young: Record) -> None:
    halfway(young)
    page = seen(adult, YOUNG)
    assert "Nobody can say the day." in page
    # the newest day on the page is one that has been
    days = {int(d) for d in re.findall(r"day (\d+) February", page)}
    assert max(days) <= 8
    assert not re.search(r"\d+ (more )?(days|weeks) (left|to go|more)|ready (in|on|by) ", page)


def test_the_checks_stand_in_order_with_what_the_record_answers(
    adult: CheckedClient, young: Record
) -> None:
    page = seen(adult, YOUNG)
    assert in_order(
        page,
        (
            "Does the filter run day and night? Not known.",
            "Did untreated tap water go in? No.",
            "Is there enough buffer (KH), and is pH high enough? Not known.",
            "Is it warm enough? Not known.",
            "Is there too much at once? Not known.",
            "Was the filter material washed in tap water, or all replaced? No.",
            "Was the tank treated for a disease? No.",
            "Is it the test kit? Not known.",
        ),
    )
    young.write(NewTest(), reading(Quantity.KH, 1.0))
    assert "is pH high enough? Yes, it may be this. KH 1.0" in seen(adult, YOUNG)


def test_a_longer_history_needs_no_more_statements(adult: CheckedClient, young: Record) -> None:
    halfway(young)
    adult.get(YOUNG)  # keeps the stage
    few = statements(young, adult, YOUNG)
    for days in range(10, 30):
        young.write(NewTest(), reading(Quantity.NITRATE, 5.0), at=MONDAY - timedelta(days=days))
    adult.get(YOUNG)
    assert statements(young, adult, YOUNG) <= few


def test_pages_lead_to_it(adult: CheckedClient, young: Record) -> None:
    for page in ("/tank/2/set-up", f"{GROUP}/arrive"):
        assert f'href="{YOUNG}"' in adult.get(page).text
    saved_id(save_early(adult, young))
    assert f'href="{YOUNG}"' in adult.get("/tank/2/to-do").text


def test_helpers_get_neither(helper: CheckedClient) -> None:
    assert helper.get(READY).status_code == 403
    assert helper.get("/tank/1/ammonia-entry").status_code == 403


# --- ammonia that was added


def test_what_was_worked_out_is_written_down(adult: CheckedClient, young: Record) -> None:
    """2 mg/L for 85.0 L with 9.5 %: 2 × 85.0 × 1.216 ÷ 95 = 2.2 mL, by hand."""
    asked = "animals=none&source=solution&strength=9.5&now=0&target=2&net=85"
    sums = adult.get(f"/tank/2/work-out/grown-ups/maturing?{asked}").text
    door = re.search(r'href="(/tank/2/ammonia-entry\?[^"]+)"', sums)
    assert door
    url = door[1].replace("&amp;", "&")
    form = opened(adult, url)
    assert (form["reached"], form["amount"], form["strength"]) == ("2", "2.2", "9.5")
    saved_id(adult.post(url, data=form))
    line = lines(young, EntryKind.JOB)[0]
    assert line.title == "Ammonia added: up to 2.00\u00a0mg/L (as N)"
    assert line.lines == ("2.2\u00a0mL, label 9.5\u00a0%.",)
    assert line.detail.mg_per_l == 2.0


def test_the_caution_stands_before_the_form(adult: CheckedClient, young: Record) -> None:
    page = seen(adult, AMMONIA)
    assert in_order(page, ("Grown-ups only.", "Never near bleach", "it was to reach"))


def test_ammonium_is_kept_as_nitrogen(adult: CheckedClient, young: Record) -> None:
    """1 mg/L of N is 18.039 ÷ 14.007 = 1.288 mg/L of ammonium, from atomic masses."""
    saved_id(save(adult, AMMONIA, reached="1.288", reached_unit="mg/L|as ammonium"))
    assert lines(young, EntryKind.JOB)[0].detail.mg_per_l == pytest.approx(1.0, abs=0.001)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"reached": "two"}, "Write how much it was to reach with digits only."),
        ({"reached": "2", "strength": "950"}, "Enter the strength on the label from 0.1 to 100."),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    adult: CheckedClient, young: Record, typed: dict[str, str], sentence: str
) -> None:
    answer = save(adult, AMMONIA, **typed, note="near the filter")
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["note"] == "near the filter"
    assert lines(young, EntryKind.JOB) == ()


def test_an_amount_that_nobody_knows_is_written_and_proves_nothing(
    adult: CheckedClient, young: Record
) -> None:
    saved_id(save(adult, AMMONIA))
    assert lines(young, EntryKind.JOB)[0].detail.mg_per_l is None
    assert "Nobody wrote how much ammonia was added." in seen(adult, YOUNG)


def test_with_animals_no_sum_is_offered_and_the_truth_is_asked_for(
    adult: CheckedClient, record: Record
) -> None:
    url = "/tank/1/ammonia-entry"
    page = adult.get(url).text
    assert "Add none: it burns their gills." in page
    assert "work-out/grown-ups" not in page
    assert "/tank/1/trouble/change" in page
    answer = save(adult, url, reached="2")
    assert answer.status_code == 422
    assert "16 animals live here, and ammonia harms them." in words_of(answer.text)
    saved_id(save(adult, url, reached="2", really="y"))
    assert lines(record, EntryKind.JOB)[0].detail.mg_per_l == 2.0


def test_an_addition_is_fixed_in_its_own_form(adult: CheckedClient, young: Record) -> None:
    entry = saved_id(save(adult, AMMONIA, reached="2"))
    fix = f"/tank/2/entry/{entry}/fix"
    assert opened(adult, fix)["reached"] == "2"
    assert save(adult, fix, reached="1", reason="misread").status_code == 303
    assert lines(young, EntryKind.JOB)[0].detail.mg_per_l == 1.0


# --- animals that come before the filter is ready


def save_early(adult: CheckedClient, record: Record) -> TestResponse:
    measured(record, 40, 0.0, 0.0)  # the record began before
    url = f"{GROUP}/arrive"
    question = save(adult, url, count="6", source="Mill Street")
    assert "The filter is not ready" in words_of(question.text)
    return adult.post(url, data=form_on(question.text) | {"early": "yes"})


def living(record: Record) -> int:
    with record.database.reading() as session:
        return tasks.snapshot_of(session, record.tank_id, now=record.now).expected_fish


ARRIVE = (
    (f"{GROUP}/arrive", {"count": "6"}),
    ("/tank/2/animals", {"name": "ember tetra", "count": "6"}),
    ("/tank/2/animals-entry", {"group": "3", "what": "arrived", "count": "6"}),
)


@pytest.mark.parametrize(("url", "typed"), ARRIVE)
def test_every_way_in_asks_first_and_keeps_the_answer(
    adult: CheckedClient, young: Record, url: str, typed: dict[str, str]
) -> None:
    measured(young, 40, 0.0, 0.0)
    question = save(adult, url, **typed)
    asked = words_of(question.text)
    assert "Not yet ready, because:" in asked
    assert "No test of ammonia and nitrite so far." in asked
    assert f'href="{YOUNG}"' in question.text
    assert living(young) == 0

    form = form_on(question.text) | {"early": "yes"}
    assert adult.post(url, data=form).status_code == 303
    adult.post(url, data=form)  # pressed twice
    assert living(young) == 6
    said = "Asked first: the filter was not ready. They came all the same"
    assert lines(young, EntryKind.STOCK_EVENT)[0].reason == said
    assert said in seen(adult, "/tank/2/story")
    assert said in seen(adult, "/tank/2/to-do")


def test_animals_that_move_are_asked_about_for_the_tank_they_come_to(
    adult: CheckedClient, young: Record
) -> None:
    measured(young, 40, 0.0, 0.0)
    url = "/tank/1/animals/1/move"
    question = save(adult, url, to_tank="2", count="3")
    assert "The filter is not ready" in words_of(question.text)
    saved_id(adult.post(url, data=form_on(question.text) | {"early": "yes"}))
    assert living(young) == 3
    assert "Asked first" in seen(adult, "/tank/2/story")
    assert "Asked first" not in seen(adult, "/tank/1/story")


def test_a_filter_that_is_ready_is_not_asked_about(adult: CheckedClient) -> None:
    saved_id(save(adult, "/tank/1/animals/1/arrive", count="2"))


def test_nobody_is_asked_about_animals_that_were_there_before_the_record(
    adult: CheckedClient, young: Record
) -> None:
    with young.database.writing() as session:
        facts = tanks.tank(session, young.tank_id).facts
        tanks.change_tank(session, young.tank_id, replace(facts, started_on=None))
    saved_id(save(adult, f"{GROUP}/arrive", count="6"))
    assert living(young) == 6


def test_other_changes_are_not_asked_about(adult: CheckedClient, young: Record) -> None:
    measured(young, 40, 0.0, 0.0)
    typed = {"group": "3", "what": "recounted", "count": "4"}
    saved_id(save(adult, "/tank/2/animals-entry", **typed))
    assert living(young) == 4
