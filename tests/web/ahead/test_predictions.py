"""Sealed guesses on the device of the class: each tile once, opened by the test, without names."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen

ROUNDS = "/tank/1/ahead/predictions"
ROUND = f"{ROUNDS}/1"
HOUR = timedelta(hours=1)


@pytest.fixture
def tested(record: Record) -> Record:
    """Nitrate was 12 two hours ago."""
    record.write(NewTest(), reading(Quantity.NITRATE, 12.0), at=MONDAY - 2 * HOUR)
    return record


def write_test(record: Record, clock: FixedClock, value: float) -> None:
    clock.moment = record.now = MONDAY + HOUR
    record.write(NewTest(), reading(Quantity.NITRATE, value))


def test_an_adult_opens_a_round(adult: CheckedClient, tested: Record) -> None:
    answer = save(adult, ROUNDS, quantity="nitrate")
    assert (answer.status_code, answer.location) == (303, ROUND)
    text = seen(adult, ROUND)
    assert "It closes when the next nitrate test is written." in text
    assert "0 guesses are sealed" in text


def test_a_round_may_close_at_a_time(adult: CheckedClient, tested: Record) -> None:
    save(adult, ROUNDS, quantity="nitrate", until="time", picked="2027-02-08T14:30")
    assert "It closes today 2:30 pm" in seen(adult, ROUND)


@pytest.mark.parametrize(
    ("picked", "says"),
    [
        ("", "Pick the day and the time."),
        ("2027-02-08T08:00", "still to come"),
        # 14 March 2027, 2:30: the clocks go forward
        ("2027-03-14T02:30", "did not exist"),
        ("soon", "such as 2027-02-08 08:30"),
        ("0001-01-10T08:30", "Write a year from 1990 to 2199."),
        ("9999-12-31T23:59", "Write a year from 1990 to 2199."),
    ],
)
def test_a_time_of_no_use_is_told_beside_the_field(
    adult: CheckedClient, tested: Record, picked: str, says: str
) -> None:
    answer = save(adult, ROUNDS, quantity="nitrate", until="time", picked=picked)
    assert answer.status_code == 422
    assert says in answer.text


def test_a_second_round_of_the_same_is_told_beside_the_field(
    adult: CheckedClient, tested: Record
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    answer = save(adult, ROUNDS, quantity="nitrate")
    assert answer.status_code == 422
    assert "call that round off first" in answer.text


def test_a_tank_without_a_test_has_nothing_to_guess(adult: CheckedClient) -> None:
    assert "Nothing was measured yet. Write down a test, or a kit, first." in seen(adult, ROUNDS)
    answer = adult.post(ROUNDS, data=opened(adult, ROUNDS) | {"quantity": "nitrate"})
    assert answer.status_code == 422


def test_pupils_guess_and_see_no_guess_before_the_test(
    adult: CheckedClient, helper: CheckedClient, tested: Record
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    assert f'href="{ROUND}"' in helper.get("/tank/1/write-down").text
    answer = save(helper, ROUND, hands=str(tested.otter), guess="17")
    assert answer.status_code == 303
    text = seen(helper, answer.location)
    assert "Your guess is sealed." in text
    assert "1 guess is sealed" in text
    assert "17" not in text.replace("2017", "")
    # the tile that guessed is not offered again
    assert "Finch" in text
    assert "Otter" not in text
    # the adult sees who, not what
    adults = seen(adult, ROUND)
    assert "From: Otter." in adults
    assert "17" not in adults


def test_the_same_button_twice_is_one_guess(
    adult: CheckedClient, helper: CheckedClient, tested: Record
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    form = opened(helper, ROUND) | {"hands": str(tested.otter), "guess": "17"}
    locations = {helper.post(ROUND, data=form).location for _ in range(2)}
    assert len(locations) == 1
    again = helper.post(ROUND, data=form | {"guess": "30"})
    assert again.status_code == 422
    assert "sealed with another number" in again.text


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"guess": ""}, "Write your guess as a number."),
        ({"guess": "a lot"}, "with digits only"),
        ({"guess": "99999"}, "higher than any tank"),
        ({"hands": ""}, "Choose your tile."),
    ],
)
def test_what_cannot_be_guessed_keeps_what_was_typed(
    adult: CheckedClient, helper: CheckedClient, tested: Record, changed: dict[str, str], says: str
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    answer = save(helper, ROUND, **{"hands": str(tested.otter), "guess": "17"} | changed)
    assert answer.status_code == 422
    assert says in answer.text
    if "guess" not in changed:
        assert 'value="17"' in answer.text


def test_a_guess_can_be_taken_back_at_once(
    adult: CheckedClient, helper: CheckedClient, tested: Record
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    here = save(helper, ROUND, hands=str(tested.otter), guess="17").location
    html = helper.get(here).text
    assert "Take my guess back" in html
    form = form_on(html, at=0)
    assert helper.post(f"{ROUND}/guesses/1/take-back", data=form).status_code == 303
    page = seen(helper, ROUND)
    assert "The guess is taken back." in page
    assert "0 guesses are sealed" in page


@pytest.mark.parametrize("guess", ["1", "99", "2147483647"])
def test_a_guess_that_is_not_there_is_not_called_taken_back(
    adult: CheckedClient, helper: CheckedClient, tested: Record, guess: str
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    form = form_on(helper.get(ROUND).text)
    if guess == "1":  # it was there, and is taken back already
        here = save(helper, ROUND, hands=str(tested.otter), guess="17").location
        helper.post(f"{ROUND}/guesses/1/take-back", data=form)
        seen(helper, here.partition("?")[0])

    answer = helper.post(f"{ROUND}/guesses/{guess}/take-back", data=form)

    assert answer.status_code == 303
    page = seen(helper, ROUND)
    assert "There is no such guess." in page
    assert "The guess is taken back." not in page


def test_after_the_test_pupils_see_guesses_without_names(
    adult: CheckedClient, helper: CheckedClient, tested: Record, clock: FixedClock
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    for tile, guess in ((tested.otter, "17"), (tested.finch, "25")):
        save(helper, ROUND, hands=str(tile), guess=guess)
    save(adult, ROUND, hands=str(tested.adult.author_id), guess="21")
    write_test(tested, clock, 20.0)

    for client in (helper, adult):
        text = seen(client, ROUND)
        assert "20 mg/L (as nitrate)." in text
        assert "3 guesses, from 17 mg/L to 25 mg/L." in text
        assert "The middle guess of all 21 mg/L 1 mg/L too high" in text
        assert "The same as last time 12 mg/L 8 mg/L too low" in text
        assert "No one of us is ranked." in text
        assert "Otter" not in text
        assert "Finch" not in text
    working = seen(adult, ROUND)
    assert "17, 21, 25: number 2 of 3 is 21 mg/L" in working
    assert "12 mg/L beside 20 mg/L: 8 mg/L too low" in working
    assert "number 2 of 3" not in seen(helper, ROUND)
    assert "Nearest this time: the middle guess of all." in seen(adult, ROUNDS)
    # closed: nothing more goes in
    late = helper.post(ROUND, data=opened(helper, "/tank/1/feed") | {"guess": "20"})
    assert late.status_code in {200, 422}
    assert "3 guesses" in seen(helper, ROUND)


def test_two_guesses_stay_sealed(
    adult: CheckedClient, helper: CheckedClient, tested: Record, clock: FixedClock
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    for tile, guess in ((tested.otter, "17"), (tested.finch, "25")):
        save(helper, ROUND, hands=str(tile), guess=guess)
    write_test(tested, clock, 20.0)
    text = seen(helper, ROUND)
    assert "2 guesses are sealed. They stay sealed" in text
    assert "25" not in text


def test_an_adult_calls_a_round_off(adult: CheckedClient, tested: Record) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    form = form_on(adult.get(ROUND).text)
    assert adult.post(f"{ROUND}/call-off", data=form).status_code == 303
    assert "called off" in seen(adult, ROUNDS)
    assert "This round is called off" in seen(adult, ROUND)


def test_pupils_neither_open_nor_call_off(
    adult: CheckedClient, helper: CheckedClient, tested: Record
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    assert helper.get(ROUNDS).status_code == 403
    form = form_on(helper.get(ROUND).text)
    assert helper.post(f"{ROUND}/call-off", data=form).status_code == 403
    assert "Call this round off" not in helper.get(ROUND).text


def test_over_several_rounds_the_ways_are_compared(
    adult: CheckedClient, tested: Record, clock: FixedClock
) -> None:
    save(adult, ROUNDS, quantity="nitrate")
    write_test(tested, clock, 20.0)
    # without three guesses and a forecast of the program no way is compared
    assert "so far" not in seen(adult, ROUNDS)
