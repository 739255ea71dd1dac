"""Every working-out page: opened, worked, left empty, filled with nonsense; nothing is saved."""

from html import escape, unescape

import pytest

from app.services import sites
from app.services.workings.model import Ask, Working
from app.services.workings.registry import WORKINGS
from app.web.workings.form import WorkingForm
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web import working_examples, working_examples_two
from tests.web.visits import fields_of, seen, words_of

EXAMPLES = working_examples.EXAMPLES | working_examples_two.EXAMPLES_TWO
BASE = "/tank/1/work-out"
PUPILS = [working for working in WORKINGS if not working.for_adults]
REFUSED = working_examples.REFUSED + working_examples_two.REFUSED_TWO
CASES = [(working, example) for working in PUPILS for example in EXAMPLES[working.slug]]
FIRST = [(working, EXAMPLES[working.slug][0]) for working in PUPILS]


def _address(working: Working, typed: dict[str, str]) -> dict[str, str]:
    """What the form sends: every field, also what was left empty."""
    return {ask.name: "" for ask in working.asks if isinstance(ask, Ask)} | typed


def _name(value: object) -> str:
    return value.slug if isinstance(value, Working) else ""


def test_the_list_leads_to_every_page(helper: CheckedClient) -> None:
    page = helper.get(BASE).text

    assert [w.slug for w in PUPILS if f'href="{BASE}/{w.slug}"' not in page] == []
    assert [w.question for w in PUPILS if w.question not in words_of(page)] == []


@pytest.mark.parametrize("working", PUPILS, ids=_name)
def test_a_page_opens_without_an_answer(helper: CheckedClient, working: Working) -> None:
    page = seen(helper, f"{BASE}/{working.slug}")

    assert "This page saves nothing." in page
    assert "The answer" not in page


@pytest.mark.parametrize(("working", "example"), CASES, ids=_name)
def test_an_example_is_worked_out(
    helper: CheckedClient, working: Working, example: tuple[dict[str, str], tuple[str, ...]]
) -> None:
    typed, expected = example
    answer = helper.get(f"{BASE}/{working.slug}", query_string=_address(working, typed))

    page = words_of(answer.text)
    assert answer.status_code == 200, page
    assert [text for text in expected if text not in page] == []


@pytest.mark.parametrize(("working", "example"), FIRST, ids=_name)
def test_an_empty_field_is_named_and_nothing_is_worked_out(
    helper: CheckedClient, working: Working, example: tuple[dict[str, str], tuple[str, ...]]
) -> None:
    for ask in working.asks:
        if isinstance(ask, Ask) and ask.required and ask.name in example[0]:
            answer = helper.get(f"{BASE}/{working.slug}", query_string=example[0] | {ask.name: ""})

            page = words_of(answer.text)
            assert answer.status_code == 422, ask.name
            assert f"Enter {ask.noun}" in page
            assert "The answer" not in page


@pytest.mark.parametrize(("working", "example"), FIRST, ids=_name)
def test_nonsense_stays_in_its_field(
    helper: CheckedClient, working: Working, example: tuple[dict[str, str], tuple[str, ...]]
) -> None:
    for ask in working.asks:
        if isinstance(ask, Ask):
            for nonsense in ("abc<b>", "-99999999"):
                answer = helper.get(
                    f"{BASE}/{working.slug}", query_string=example[0] | {ask.name: nonsense}
                )

                assert answer.status_code == 422, (ask.name, nonsense)
                assert f'value="{escape(nonsense)}"' in answer.text
                assert "The answer" not in words_of(answer.text)
        elif len(ask.options) > 1:
            wrong = example[0] | {ask.name: "nowhere"}
            answer = helper.get(f"{BASE}/{working.slug}", query_string=wrong)

            assert answer.status_code == 422, ask.name


@pytest.mark.parametrize(("slug", "typed", "sentence"), REFUSED)
def test_what_has_no_answer_is_said_beside_the_field(
    helper: CheckedClient, slug: str, typed: dict[str, str], sentence: str
) -> None:
    working = next(w for w in WORKINGS if w.slug == slug)

    answer = helper.get(f"{BASE}/{slug}", query_string=_address(working, typed))

    page = words_of(answer.text)
    assert answer.status_code == 422, page
    assert sentence in page
    assert "The answer" not in page


def test_names_of_fields_do_not_hide_the_form_itself() -> None:
    taken = {*dir(WorkingForm), "asks", "offers", "take"}

    assert [a.name for w in WORKINGS for a in w.asks if a.name in taken] == []


def test_a_page_that_is_none(adult: CheckedClient) -> None:
    assert adult.get(f"{BASE}/gravity").status_code == 404
    assert adult.get("/tank/99/work-out").status_code == 404


def test_a_likely_value_is_offered_and_taken(adult: CheckedClient) -> None:
    typed = EXAMPLES["mixing"][0][0] | {"tank": "77"}

    page = adult.get(f"{BASE}/mixing", query_string=typed)
    assert page.status_code == 422
    assert "Did you mean 77 °F = 25.0 °C?" in words_of(page.text)
    answer = adult.get(f"{BASE}/mixing", query_string=typed | {"take": "tank~77~F"})

    assert answer.status_code == 303
    assert "22.2 °C (72.0 °F)" in seen(adult, answer.location)


def test_only_the_one_who_may_write_is_led_there(
    adult: CheckedClient, stranger: CheckedClient
) -> None:
    typed = EXAMPLES["mixing"][0][0]

    assert "Write it down" in words_of(adult.get(f"{BASE}/mixing", query_string=typed).text)
    assert stranger.get(f"{BASE}/mixing", query_string=typed).status_code == 303


def test_what_was_worked_out_is_filled_in_where_it_is_written_down(adult: CheckedClient) -> None:
    typed = EXAMPLES["top-up"][0][0]
    page = adult.get(f"{BASE}/top-up", query_string=typed).text
    door = next(d for d in page.split('"') if d.startswith("/tank/1/change?"))

    form = fields_of(adult.get(unescape(door)).text)

    assert (form["job"], form["liters_in"], form["liters_out"]) == ("top_up", "3.2", "")


def test_measures_are_known_and_readings_are_not(adult: CheckedClient) -> None:
    page = adult.get(f"{BASE}/change").text

    assert 'name="net" type="text" value="85.0' in page
    assert 'name="now" type="text" value=""' in page


def test_fields_begin_in_the_units_of_the_household(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        known = sites.place(session, sites.FIRST)
        draft = sites.SiteDraft(name=known.name, zone=known.zone, fahrenheit=True, us_gallons=True)
        sites.set_site(session, draft)

    page = adult.get(f"{BASE}/mixing").text

    # 85.0 L are 22.5 US gal (NIST Handbook 44)
    assert 'name="net" type="text" value="22.4' in page
    assert '<option selected value="F">°F</option>' in page
