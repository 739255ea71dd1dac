"""Starting a tank step by step: one press, a question out of turn, waits, what is known."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.records import EntryKind
from app.services import tanks
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import Values, form_on, lines, opened, save, saved_id
from tests.web.visits import fields_of, seen, words_of

URL = "/tank/1/starting"


def press_next(client: CheckedClient) -> Values:
    """Press the button of the next step; returns the form that was sent."""
    page = client.get(URL).text
    address = page.rpartition('<form method="post" action="')[2].partition('"')[0]
    form = form_on(page)
    answer = client.post(address, data=form)
    assert answer.status_code == 303, words_of(answer.text)
    assert answer.location.startswith(URL)
    return form | {"address": address}


@pytest.fixture
def named(record: Record) -> None:
    """The tank has an adult in charge and a deputy."""
    with record.database.writing() as session:
        facts = tanks.tank(session, 1).facts
        people = replace(
            facts, adult="The caretaker", adult_phone="12 34",
            deputy="The office", deputy_phone="12 35",
        )  # fmt: skip
        tanks.change_tank(session, 1, people)


def test_nobody_is_in_charge_until_both_are_named(adult: CheckedClient, record: Record) -> None:
    page = adult.get(URL).text
    asked = adult.post(f"{URL}/people", data=form_on(page))
    assert asked.status_code == 422
    assert "Not written yet: both names and phone numbers" in words_of(asked.text)
    assert lines(record, EntryKind.JOB) == ()


@pytest.mark.usefixtures("named")
def test_one_press_writes_the_next_step_down(adult: CheckedClient, record: Record) -> None:
    assert "Next: Say who is in charge." in seen(adult, URL)
    press_next(adult)
    page = seen(adult, URL)
    assert "Next: Choose the place." in page
    assert "Today 8:41 am" in page
    assert lines(record, EntryKind.JOB)[0].title == "Step done: say who is in charge"


@pytest.mark.usefixtures("named")
def test_pressing_twice_writes_once(adult: CheckedClient, record: Record) -> None:
    form = press_next(adult)
    assert adult.post(form.pop("address"), data=form).status_code == 303
    assert len(lines(record, EntryKind.JOB)) == 1


def test_the_saved_line_offers_undo_and_undo_opens_the_step_again(
    adult: CheckedClient, record: Record
) -> None:
    entry = saved_id(save(adult, f"{URL}/people", hands=str(record.otter)))
    page = adult.get(f"{URL}?saved={entry}").text
    assert "Saved. Step done: say who is in charge · Otter" in words_of(page)
    undo = f"/tank/1/entry/{entry}/undo"
    assert undo in page
    adult.post(undo, data={"csrf_token": fields_of(page)["csrf_token"]})
    assert "Next: Say who is in charge." in seen(adult, URL)


@pytest.mark.usefixtures("named")
def test_a_step_out_of_its_turn_is_asked_about_and_not_blocked(
    adult: CheckedClient, record: Record
) -> None:
    press_next(adult)
    page = adult.get(f"{URL}/mat").text
    assert "Still open: Choose the place." in words_of(page)
    assert "Yes, it is done" in words_of(page)
    form = form_on(page) | {"note": "on the old mat"}
    without_answer = {name: value for name, value in form.items() if name != "again"}
    asked = adult.post(f"{URL}/mat", data=without_answer)
    assert asked.status_code == 422
    assert "on the old mat" in asked.text
    assert len(lines(record, EntryKind.JOB)) == 1
    saved_id(adult.post(f"{URL}/mat", data=form))
    assert lines(record, EntryKind.JOB)[0].lines == ("on the old mat",)


@pytest.mark.usefixtures("named")
def test_a_wait_stands_with_its_end(adult: CheckedClient, clock: FixedClock) -> None:
    """Full on Monday 8:41; a day later one may go on."""
    for _ in range(4):
        press_next(adult)
    page = seen(adult, URL)
    assert "Test for leaks: until tomorrow 8:41 am" in page
    assert "Test for leaks: wait until tomorrow 8:41 am." in seen(adult, f"{URL}/bucket")
    clock.moment += timedelta(hours=24)
    assert "until tomorrow" not in seen(adult, URL)
    assert "First a question" not in seen(adult, f"{URL}/bucket")


def test_a_step_can_be_written_for_another_time(adult: CheckedClient, record: Record) -> None:
    saved_id(
        save(
            adult, f"{URL}/people", when="pick", picked="2027-02-05T15:10", hands=str(record.finch)
        )
    )
    assert "Friday 3:10 pm, Finch" in seen(adult, URL)


def test_a_time_that_has_not_come_is_told_beside_the_field(
    adult: CheckedClient, record: Record
) -> None:
    answer = save(adult, f"{URL}/people", when="pick", picked="2027-03-05T15:10", note="kept")
    assert answer.status_code == 422
    assert "That time has not come yet." in words_of(answer.text)
    assert "kept" in answer.text
    assert lines(record, EntryKind.JOB) == ()


def test_what_is_known_stands_at_its_step(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        facts = tanks.tank(session, 1).facts
        tanks.change_tank(session, 1, replace(facts, sun_from="14:00", sun_until="16:00"))
    page = seen(adult, URL)
    assert "2 h of sun on the glass" in page
    assert "water and sand 106 kg" in page
    assert "/tank/1/place" in adult.get(URL).text


@pytest.mark.parametrize(("setting", "shown"), [("class", True), ("home", False)])
def test_a_class_is_told_what_speaks_against_fish_in_a_class(
    adult: CheckedClient, record: Record, setting: str, shown: bool
) -> None:
    with record.database.writing() as session:
        facts = tanks.tank(session, 1).facts
        tanks.change_tank(session, 1, replace(facts, setting=setting))
    page = seen(adult, URL)
    assert ("Should a class keep fish?" in page) is shown
    assert ("Society for the Prevention of Cruelty to Animals, Education" in page) is shown


def test_an_unknown_step_is_not_found(adult: CheckedClient) -> None:
    assert adult.get(f"{URL}/wings").status_code == 404
    assert adult.get(f"{URL}/homes").status_code == 404


def test_helpers_have_no_such_pages(helper: CheckedClient) -> None:
    for page in (URL, f"{URL}/people", "/tank/1/closing", "/tank/like"):
        assert helper.get(page).status_code == 403


def test_water_and_kit_leads_to_both_ends(adult: CheckedClient) -> None:
    page = adult.get("/tank/1/set-up").text
    assert f'href="{URL}"' in page
    assert 'href="/tank/1/closing"' in page


def test_a_new_tank_is_set_up_like_an_earlier_one(adult: CheckedClient, record: Record) -> None:
    assert "Like Brook" not in seen(adult, "/tank/like")
    page = seen(adult, "/tank/like?from=1")
    assert "Not copied: animals, plants and equipment" in page
    answer = save(adult, "/tank/like?from=1", name="Brook 2")
    assert (answer.status_code, answer.location) == (303, "/tank/2/starting")
    with record.database.reading() as session:
        assert tanks.tank(session, 2).shape == tanks.tank(session, 1).shape
    assert "Next: Say who is in charge." in seen(adult, "/tank/2/starting")


@pytest.mark.parametrize(
    ("name", "says"), [("", "Enter a name"), ("brook", "already"), ("x" * 81, "80 letters")]
)
def test_a_name_that_cannot_be_is_told_and_kept(
    adult: CheckedClient, record: Record, name: str, says: str
) -> None:
    answer = adult.post(
        "/tank/like?from=1", data=opened(adult, "/tank/like?from=1") | {"name": name}
    )
    assert answer.status_code == 422
    assert says in words_of(answer.text)
    assert name in answer.text
    with record.database.reading() as session:
        assert len(tanks.tank_lines(session)) == 1


def test_a_tank_that_is_none_cannot_be_copied(adult: CheckedClient) -> None:
    assert adult.get("/tank/like?from=99").status_code == 404


def test_today_leads_through_the_steps_until_animals_come(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, "/tank/like?from=1", name="Brook 2")
    today = adult.get("/tank/2/").text
    assert "Starting this tank, step by step" in words_of(today)
    assert 'href="/tank/2/starting"' in today
    assert "Start the tank Say who is in charge." in seen(adult, "/tank/2/to-do")
    assert "Starting this tank" not in seen(adult, "/tank/1/")
    assert "Start the tank" not in seen(adult, "/tank/1/to-do")


def test_a_tick_can_be_fixed_like_any_entry(adult: CheckedClient, record: Record) -> None:
    entry = saved_id(save(adult, f"{URL}/people", hands=str(record.otter)))
    fixed = save(
        adult,
        f"/tank/1/entry/{entry}/fix",
        hands=str(record.finch),
        when="pick",
        picked="2027-02-05T15:10",
        reason="wrong time",
    )
    assert fixed.status_code == 303, words_of(fixed.text)
    page = seen(adult, URL)
    assert "Friday 3:10 pm, Finch" in page
    assert "Next: Choose the place." in page


def test_place_and_measures_lead_back_to_the_steps_they_were_opened_from(
    adult: CheckedClient,
) -> None:
    for address in ("/tank/1/place", "/tank/1/measures"):
        opened_here = f"{address}?then=starting"
        assert f'href="{opened_here}"' in adult.get(URL).text
        assert adult.post(opened_here, data=fields_of(adult.get(opened_here).text)).location == URL
        elsewhere = adult.post(address, data=fields_of(adult.get(address).text))
        assert elsewhere.location == "/tank/1/set-up"
