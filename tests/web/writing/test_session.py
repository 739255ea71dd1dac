"""The test session: steps with the clock, several kits at once, and one entry in the end."""

import pytest

from app.clock import FixedClock
from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.domain.records import EntryKind
from app.services import kits
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import Values, form_on, lines, opened, save, saved_id
from tests.web.visits import seen, words_of

SESSION = "/tank/1/test-session"
# the places of the waits among the steps, from 0
AMMONIA = "ammonia_drops:4"
NITRATE_STANDS = "nitrate_drops:5"


@pytest.fixture
def shelf(record: Record) -> None:
    """A card for ammonia, one for nitrate, and drops for KH."""
    facts = (
        KitFacts(
            quantity=Quantity.AMMONIA, name="Ammonia card", unit="mg/L", basis="as N",
            steps=(0, 0.25, 0.5, 1),
        ),
        KitFacts(
            quantity=Quantity.NITRATE, name="Nitrate card", unit="mg/L", basis="as nitrate",
            steps=(5, 10, 20, 40),
        ),
        KitFacts(quantity=Quantity.KH, name="KH drops", unit="°dKH"),
    )  # fmt: skip
    with record.database.writing() as session:
        for each in facts:
            kits.add_kit(session, FIRST, each)


def press(client: CheckedClient, form: Values, **button: str) -> str:
    """Press a button that saves nothing; returns the page that comes back."""
    answer = client.post(SESSION, data=form | button)
    assert answer.status_code == 303
    back = client.get(answer.location)
    assert back.status_code == 200
    return back.text


@pytest.mark.usefixtures("shelf")
def test_each_kit_in_use_stands_with_its_steps(helper: CheckedClient) -> None:
    page = seen(helper, SESSION)
    assert "A grown-up opens the bottles." in page
    assert "Some drops burn skin and eyes." in page
    assert "Wait 5 minutes." in page
    for name in ("Ammonia card", "Nitrate card", "KH drops"):
        assert name in page
    assert "Nitrite" not in page


@pytest.mark.usefixtures("shelf")
def test_begin_says_when_to_go_on_and_keeps_what_was_typed(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    form = opened(helper, SESSION) | {"temperature": "24.6", "nitrate": "10", "note": "cloudy"}
    page = press(helper, form, begin=AMMONIA)
    # it is 8:41 at the tank, and the tube stands five minutes
    assert "Go on at 8:46 am." in words_of(page)
    assert "Next, Ammonia (total): go on at 8:46 am." in words_of(page)
    kept = form_on(page)
    assert (kept["temperature"], kept["nitrate"], kept["note"]) == ("24.6", "10", "cloudy")
    assert lines(record, EntryKind.WATER_TEST) == ()


@pytest.mark.usefixtures("shelf")
def test_several_kits_run_at_once_and_the_next_one_is_named(
    helper: CheckedClient, clock: FixedClock
) -> None:
    page = press(helper, opened(helper, SESSION), begin=AMMONIA)
    clock.moment = clock.moment.replace(minute=43)
    page = press(helper, form_on(page), begin=NITRATE_STANDS)
    words = words_of(page)
    assert words.index("Next, Ammonia (total): go on at 8:46 am.") < words.index(
        "Then, Nitrate: go on at 8:48 am."
    )

    clock.moment = clock.moment.replace(minute=47)
    words = words_of(press(helper, form_on(page), look="1"))
    assert "Now, Ammonia (total): since 8:46 am." in words
    assert "Next, Nitrate: go on at 8:48 am." in words

    words = words_of(press(helper, form_on(page) | {"ammonia": "0.25"}, look="1"))
    assert "Now, Ammonia" not in words
    assert "Next, Nitrate: go on at 8:48 am." in words


@pytest.mark.usefixtures("shelf")
def test_the_address_holds_the_waits_so_that_a_reload_keeps_them(
    helper: CheckedClient, clock: FixedClock
) -> None:
    back = helper.post(SESSION, data=opened(helper, SESSION) | {"begin": AMMONIA}).location
    clock.moment = clock.moment.replace(minute=44)
    assert "Go on at 8:46 am." in words_of(helper.get(back).text)


@pytest.mark.usefixtures("shelf")
def test_a_session_is_saved_as_one_entry(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    form = opened(helper, SESSION) | {"temperature": "24.6"}
    page = press(helper, form, begin=AMMONIA)
    clock.moment = clock.moment.replace(minute=46)
    page = press(helper, form_on(page) | {"nitrate": "10"}, more="nitrate")
    done = form_on(page) | {
        "ammonia": "0.25", "nitrate_2": "20", "kh": "6", "hands": str(record.otter),
    }  # fmt: skip

    first = saved_id(helper.post(SESSION, data=done))
    assert saved_id(helper.post(SESSION, data=done)) == first

    (test,) = lines(record, EntryKind.WATER_TEST)
    assert {r.quantity.value: (r.value, r.readers) for r in test.readings} == {
        "temperature": (24.6, 1), "ammonia": (0.25, 1), "nitrate": (20, 2), "kh": (6, 1),
    }  # fmt: skip
    assert test.hands == "Otter"


@pytest.mark.usefixtures("shelf")
def test_a_second_post_with_another_value_shows_both_without_the_waits(
    helper: CheckedClient, record: Record
) -> None:
    page = press(helper, opened(helper, SESSION) | {"kh": "6"}, begin=AMMONIA)
    form = form_on(page) | {"hands": str(record.otter)}
    saved_id(helper.post(SESSION, data=form))
    both = helper.post(SESSION, data=form | {"kh": "7"})
    assert both.status_code == 409
    assert "begun" not in words_of(both.text)


@pytest.mark.usefixtures("shelf")
def test_the_guard_asks_as_on_the_test_page(helper: CheckedClient, record: Record) -> None:
    answer = save(helper, SESSION, temperature="77", hands=str(record.otter))
    assert answer.status_code == 422
    assert "Did you mean" in words_of(answer.text)
    assert lines(record, EntryKind.WATER_TEST) == ()


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    "begin",
    [
        "mood:1", "ammonia_drops", "ammonia_drops:x", "", "kh_drops:-1", "ammonia_drops:004",
        "ammonia_drops:\u0664", "ammonia_drops:" + "4" * 5000,
    ],
    ids=lambda text: text[:17] or "nothing",
)  # fmt: skip
def test_a_wait_that_is_none_begins_nothing(helper: CheckedClient, begin: str) -> None:
    page = press(helper, opened(helper, SESSION) | {"temperature": "24.6"}, begin=begin)
    assert "Nothing runs yet." in words_of(page)
    assert form_on(page)["temperature"] == "24.6"


def test_a_kit_whose_steps_nobody_wrote_leaves_them_to_its_sheet(
    adult: CheckedClient, record: Record
) -> None:
    meter = KitFacts(quantity=Quantity.NITRATE, name="Meter", unit="mg/L", basis="as nitrate")
    with record.database.writing() as session:
        kits.add_kit(session, FIRST, meter)
    assert "Follow the sheet in its box." in seen(adult, SESSION)
    saved_id(save(adult, SESSION, nitrate="12"))


def test_a_kit_past_its_date_is_named(adult: CheckedClient, record: Record) -> None:
    yesterday = record.now.date().replace(day=7)
    old = KitFacts(quantity=Quantity.GH, name="GH drops", unit="°dGH", expires_on=yesterday)
    with record.database.writing() as session:
        kits.add_kit(session, FIRST, old)
    assert "GH drops is past its date. Its reading counts as doubtful." in seen(adult, SESSION)


def test_without_kits_there_is_the_temperature_and_the_way_to_write_kits(
    adult: CheckedClient, helper: CheckedClient
) -> None:
    assert "Write the test kits" in seen(adult, SESSION)
    page = seen(helper, SESSION)
    assert "Hold the tip in the water" in page
    assert "Write the test kits" not in page


def test_a_household_in_fahrenheit_types_fahrenheit_once(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, "/settings", warmth="f", volume="gal")
    saved_id(save(adult, SESSION, temperature="77"))
    (test,) = lines(record, EntryKind.WATER_TEST)
    # 77 °F is 25 °C: (77 - 32) / 1.8 (NIST SP 811, B.8)
    assert test.readings[0].value == pytest.approx(25.0)


@pytest.mark.parametrize("page", ["/tank/1/test", "/tank/1/write-down", "/tank/1/set-up"])
def test_links_lead_to_it(adult: CheckedClient, page: str) -> None:
    assert f'href="{SESSION}"' in adult.get(page).text
