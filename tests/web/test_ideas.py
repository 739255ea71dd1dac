"""Before buying: a copy of the tank, worked out in the address, with nothing saved."""

from app.services import animals
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import seen, words_of

PAGE = "/tank/1/before-buying"


def test_the_open_page_lists_who_lives_here(adult: CheckedClient) -> None:
    text = seen(adult, PAGE)
    assert "harlequin rasbora 10 now" in text
    assert "Now, and then" not in text


def test_more_fish_are_two_numbers_and_nothing_is_saved(
    adult: CheckedClient, record: Record
) -> None:
    answer = adult.get(f"{PAGE}?group_1=16&group_2=6")
    text = words_of(answer.text)
    assert "Fish weigh" in text
    assert "cannot be told yet" in text
    assert "the weight of one flat scoop of food" in text
    assert "/tank/1/animals/1/arrive?count=6" in answer.text
    with record.database.reading() as session:
        assert [g.count for g in animals.groups(session, 1, now=record.now)] == [10, 6]


def test_the_arrival_form_comes_filled(adult: CheckedClient) -> None:
    assert 'value="6"' in adult.get("/tank/1/animals/1/arrive?count=6").text
    filled = adult.get("/tank/1/animals?animal=paracheirodon-innesi&count=8").text
    assert 'value="8"' in filled


def test_a_search_offers_animals_and_plants_to_add(adult: CheckedClient) -> None:
    answer = adult.get(f"{PAGE}?look=anubias")
    assert "planted_anubias-barteri=sparse" in answer.text
    answer = adult.get(f"{PAGE}?group_1=12&look=neon")
    assert "group_1=12" in answer.text
    assert "new_paracheirodon-innesi=" in answer.text


def test_a_predator_shows_whom_it_may_swallow(adult: CheckedClient) -> None:
    text = seen(adult, f"{PAGE}?new_paracheirodon-innesi=8&new_pterophyllum-scalare=2")
    assert "may be swallowed" in text
    assert "They have arrived: 8 Neon tetra" in text


def test_what_cannot_be_is_told_beside_the_field(adult: CheckedClient) -> None:
    answer = adult.get(f"{PAGE}?group_1=minus&target=x")
    assert answer.status_code == 422
    assert "Write how many would live here with digits only." in answer.text
    assert 'value="minus"' in answer.text


def test_helpers_do_not_see_it(helper: CheckedClient) -> None:
    assert helper.get(PAGE).status_code == 403
