"""To do and the cards: every task says what it rests on, and what would clear it."""

from datetime import timedelta

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.tank import PlannedJob
from app.services import care_plans, entries, tasks
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, Record, reading
from tests.web.test_today import write_all_tests, write_usual_life
from tests.web.visits import seen, words_of


def first_task_key(record: Record) -> str:
    with record.database.reading() as session:
        _, found = tasks.look(session, [record.tank_id], now=record.now)[record.tank_id]
    return found.tasks[0].key


def test_the_harmful_part_of_ammonia_opens_a_card_with_its_sum(
    adult: CheckedClient, record: Record
) -> None:
    write_usual_life(record)
    record.write(
        NewTest(),
        reading(Quantity.AMMONIA, 1.0),
        reading(Quantity.PH, 8.2),
        reading(Quantity.TEMPERATURE, 25.0),
    )
    page = adult.get("/tank/1/to-do")
    text = words_of(page.text)
    assert "Act" in text
    # 8.25 % of 1.0 mg/L at pH 8.2 and 25.0 °C: pKa = 0.09018 + 2729.92 / 298.15 = 9.2463,
    # Emerson et al. 1975, worked by hand
    assert "0.082" in text
    assert "The entries it came from" in text
    assert "What clears it" in text
    assert "What would have changed the answer" in text


def test_correcting_the_reading_takes_the_task_away(adult: CheckedClient, record: Record) -> None:
    write_usual_life(record)
    record.write(ALL_FINE, reading(Quantity.TEMPERATURE, 25.0))
    bad = record.write(NewTest(), reading(Quantity.AMMONIA, 1.0), reading(Quantity.PH, 8.2))
    assert "ammonia" in seen(adult, "/tank/1/to-do").lower()
    assert "surface-act" in adult.get("/tank/1/").text
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), bad.entry_id, NewTest(),
            (reading(Quantity.AMMONIA, 0.0), reading(Quantity.PH, 6.8)),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    assert "surface-act" not in adult.get("/tank/1/").text


def test_each_task_has_a_page_of_its_own(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(days=3))
    key = first_task_key(record)
    page = adult.get(f"/tank/1/to-do/{key}")
    assert page.status_code == 200
    assert f'href="/tank/1/to-do/{key}"' in adult.get("/tank/1/to-do").text


def test_a_task_that_is_done_says_so(adult: CheckedClient) -> None:
    answer = adult.get("/tank/1/to-do/ammonia:never")
    assert answer.status_code == 404
    assert "This task is done, or its reason is gone." in answer.text


def test_evidence_leads_to_its_entry(adult: CheckedClient, record: Record) -> None:
    write_usual_life(record)
    saved = record.write(ALL_FINE, at=MONDAY - timedelta(days=3))
    assert f'href="/tank/1/entry/{saved.entry_id}"' in adult.get("/tank/1/to-do").text


def test_cautions_stand_before_hands_get_wet(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE)
    html = adult.get("/tank/1/to-do").text
    rinse = html[html.index("Rinse the filter sponge") :]
    caution = rinse.index('class="caution"')
    assert caution < rinse.index("<details")
    assert "Unplug it first, with dry hands." in rinse


def test_with_all_fresh_nothing_worries(adult: CheckedClient, record: Record) -> None:
    write_usual_life(record)
    write_all_tests(record, MONDAY - timedelta(days=1))
    record.write(ALL_FINE, reading(Quantity.TEMPERATURE, 24.6))
    html = adult.get("/tank/1/to-do").text
    assert "state-act" not in html
    assert "state-watch" not in html


def test_a_task_says_whom_the_plan_gives_it_to(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(days=10))
    jobs = (PlannedJob(name="glass", who="technician"), PlannedJob(name="look", who="helper"))
    with record.database.writing() as session:
        care_plans.set_jobs(session, record.tank_id, jobs)
    page = seen(adult, "/tank/1/to-do")
    assert "for the technician" in page
    assert "for a helper" in page
    assert "for a helper" in seen(helper, "/tank/1/")
