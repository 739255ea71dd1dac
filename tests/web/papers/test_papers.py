"""The papers as pages: who may see them, what they say, what they leave out."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind
from app.services import tasks
from app.web.papers.registry import PAPERS
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen, words_of

TANK = "/tank/1"
PAGES = {
    "papers.wall_chart": f"{TANK}/papers/wall-chart",
    "papers.flip_card": f"{TANK}/papers/flip-card",
    "papers.substitute_card": f"{TANK}/papers/substitute",
    "papers.strip": f"{TANK}/papers/strip",
    "papers.vet": f"{TANK}/trouble/vet",
    "papers.welfare": f"{TANK}/papers/welfare",
    "papers.risk": f"{TANK}/papers/risk",
    "papers.transfer": f"{TANK}/papers/transfer",
    "papers.incident": f"{TANK}/papers/incident",
    "papers.year": f"{TANK}/papers/year",
}


def fill(record: Record) -> None:
    """A month in which helpers wrote, with one loss that pupils were not told of."""
    with record.database.reading() as session:
        group = tasks.snapshot_of(session, record.tank_id, now=MONDAY).groups[0]
    for ago in (1, 4, 8, 15, 22):
        at = MONDAY - timedelta(days=ago)
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.5), at=at, by=record.otter)
        record.write(ALL_FINE, at=at, by=record.finch)
    record.write(NewLook(signs=(Sign.HIDING,), note="Otter and Finch saw it"), by=record.finch)
    record.write(NewJob(job=JobKind.GLASS, note="Otter helped"), by=record.otter)
    record.write(NewTest(note="read by Finch"), reading(Quantity.NITRATE, 20.0), by=record.otter)
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=1, hidden=True)
    record.write(loss, at=MONDAY - timedelta(days=2))


def test_every_paper_is_listed_and_leads_back(adult: CheckedClient) -> None:
    assert {paper.endpoint for paper in PAPERS} == set(PAGES)
    listed = adult.get(f"{TANK}/share").text
    for paper in PAPERS:
        url = PAGES[paper.endpoint]
        assert f'href="{url}"' in listed
        page = adult.get(url).text
        assert f'href="{TANK}/share"' in page[page.index("<main") :]
        words = words_of(page)
        assert "To print it, use your browser’s Print." in words
        # tank, place and moment stand at the head, and nothing speaks of an undated today
        head = words[words.index("Brook · Hill School") :]
        assert "Printed Monday 8 February 2027, 8:41 am" in head
        assert "today" not in head[: head.index("nothing leaves this computer")].casefold()


def test_papers_name_no_helper_and_tell_a_hidden_loss_to_grown_ups_only(
    adult: CheckedClient, record: Record
) -> None:
    fill(record)
    words = {endpoint: seen(adult, url) for endpoint, url in PAGES.items()}
    named = [e for e, text in words.items() if "Otter" in text or "Finch" in text]
    assert named == []
    # pupils read these three: all 16 are there
    assert "Fish seen of 16" in words["papers.wall_chart"]
    assert "10 harlequin rasbora" in words["papers.substitute_card"]
    assert "Here now: 10 harlequin rasbora" in words["papers.year"]
    for endpoint in ("papers.wall_chart", "papers.substitute_card", "papers.year"):
        assert "rasbora died" not in words[endpoint]
    # whoever treats, inspects or takes over looks at the whole record
    for endpoint in ("papers.vet", "papers.welfare"):
        assert "1 harlequin rasbora died" in words[endpoint]
    assert "In all: 15." in words["papers.transfer"]


def test_a_helper_gets_no_paper(helper: CheckedClient) -> None:
    assert {helper.get(url).status_code for url in PAGES.values()} == {403}


def test_another_week_and_another_day_are_chosen_by_their_address(adult: CheckedClient) -> None:
    # from Friday on a chart is made for the week after; this Monday it is the week that runs
    words = seen(adult, PAGES["papers.wall_chart"])
    assert "Brook, Monday 8 February to Sunday 14 February 2027" in words
    later = seen(adult, f"{PAGES['papers.wall_chart']}?week=2027-03-18")
    assert "Brook, Monday 15 March to Sunday 21 March 2027" in later
    assert "Monday 8 February" in seen(adult, f"{PAGES['papers.wall_chart']}?week=soon")
    card = seen(adult, f"{PAGES['papers.substitute_card']}?day=2027-02-13")
    assert "Do only this, on Saturday 13 February 2027" in card
    assert "On this day nobody is meant to come." in card


def test_households_in_us_units_get_them_on_paper(adult: CheckedClient, record: Record) -> None:
    fill(record)
    assert save(adult, "/settings", warmth="f", volume="gal").status_code == 303
    assert "Temperature °F" in seen(adult, PAGES["papers.wall_chart"])
    assert "Water out US gal" in seen(adult, PAGES["papers.strip"])
    assert "76.1 °F" in seen(adult, PAGES["papers.transfer"])
    assert "lb (85 kg)" in seen(adult, PAGES["papers.risk"])


def test_our_own_rules_come_from_the_settings_to_the_risk_sheet(adult: CheckedClient) -> None:
    before = seen(adult, PAGES["papers.risk"])
    assert before.count("Not written yet") == 10
    assert save(adult, "/settings/own-rules", sinks="Only the blue sink.").status_code == 303
    after = seen(adult, PAGES["papers.risk"])
    assert "The sink for tank things Only the blue sink." in after
    assert after.count("Not written yet") == 9
    long = save(adult, "/settings/own-rules", sinks="x" * 501)
    assert long.status_code == 422
    assert "x" * 501 in long.text  # what was typed is still there
    assert "The sink for tank things Only the blue sink." in seen(adult, PAGES["papers.risk"])


def test_the_last_contact_with_a_vet_is_kept_for_the_welfare_record(
    adult: CheckedClient,
) -> None:
    url = PAGES["papers.welfare"]
    assert "Last contact with a veterinarian: not written." in seen(adult, url)
    assert save(adult, url, vet_contact="3 Feb 2027, by phone").status_code == 303
    assert "Last contact with a veterinarian 3 Feb 2027, by phone" in seen(adult, url)
    assert save(adult, url, vet_contact="x" * 201).status_code == 422


def test_a_transfer_note_takes_what_was_chosen(adult: CheckedClient) -> None:
    words = seen(adult, f"{PAGES['papers.transfer']}?group-1=3&group-2=many&piece=7")
    assert "harlequin rasbora 3 unknown" in words
    assert "In all: 9." in words  # what is no number leaves the whole group
    assert "Never into a pond" in words
    assert "New keeper signs" in words


def test_an_incident_is_reported_from_ticked_facts_only(
    adult: CheckedClient, record: Record
) -> None:
    fill(record)
    url = PAGES["papers.incident"]
    form = opened(adult, url)
    page = adult.get(url).text
    facts = [part.split('"')[0] for part in page.split('name="facts" type="checkbox" value="')[1:]]
    assert facts
    assert "pupils were not told of it yet" in words_of(page)

    empty = adult.post(url, data=form)
    assert empty.status_code == 422
    assert "Write what happened." in empty.text
    assert "Write which grown-up approves it." in empty.text

    said = form | {"facts": facts[-1:], "what": "The heater\nfailed.", "approved_by": "Ms. Ruiz"}
    made = adult.post(url, data=said)
    assert made.status_code == 200
    paper = words_of("<body>" + made.text.partition("<article")[2].partition("</article>")[0])
    assert "What happened The heater failed." in paper
    assert "Water test. Nitrate 20 mg/L (as nitrate)" in paper
    assert "Something odd" not in paper
    assert "died" not in paper
    assert "Approved by Ms. Ruiz" in paper
    assert "What was done Not written." in paper


def test_a_named_tile_is_asked_about_in_an_incident_and_nothing_typed_is_lost(
    adult: CheckedClient,
) -> None:
    url = PAGES["papers.incident"]
    said = opened(adult, url) | {"what": "Otter ran.", "approved_by": "Ms. Ruiz"}
    asked = adult.post(url, data=said)
    assert asked.status_code == 422
    assert "“Otter” stands on a tile." in asked.text
    again = form_on(asked.text)
    assert again["what"] == "Otter ran."
    assert adult.post(url, data=again | {"sure": "y"}).status_code == 200


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        ("2027-02-08", "2027-02-09", "That day has not come yet."),
        ("2027-02-08", "2027-02-07", "The last day lies before the first."),
        ("2027-01-01", "2027-02-08", "Pick 31 days at most."),
        ("", "2027-02-08", "Pick the first day."),
    ],
)
def test_days_that_cannot_be_are_asked_for_again(
    adult: CheckedClient, clock: FixedClock, first: str, last: str, says: str
) -> None:
    assert clock.now() == MONDAY
    url = PAGES["papers.incident"]
    said = opened(adult, url) | {"first_day": first, "last_day": last, "step": "facts"}
    assert says in adult.post(url, data=said).text
