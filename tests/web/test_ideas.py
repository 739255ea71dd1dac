"""Before buying: a copy of the tank, worked out in the address, with nothing saved."""

import re
from dataclasses import replace
from datetime import timedelta

from app.services import tanks
from app.services.livestock import animals
from app.services.livestock.animals import GroupFacts
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record
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


def test_six_more_of_nine_tenths_of_a_gram_bring_the_next_change_nearer(
    adult: CheckedClient, record: Record
) -> None:
    # By hand: 0.25 g of food x 0.45 x 92 mg/g = 10.35 mg N a day; x 4.427 / 85.0 L = 0.539 mg/L,
    # 3.8 a week; 8 mg/L take 14.8 days. With 6 x 0.9 g beside 27 g a fifth more: 4.5, 12.4 days.
    # By the usual shape of a small fish 4.23 cm are 0.9 g and 6.29 cm are 3.0 g: 9 + 18 = 27 g.
    with record.database.writing() as session:
        animals.change_group(session, 1, GroupFacts(name="Shoal", adult_cm=4.2305))
        animals.change_group(session, 2, GroupFacts(name="Others", adult_cm=6.286))
        tanks.weigh_scoop(session, 1, 5.0, 20, now=MONDAY - timedelta(days=90))
        facts = replace(tanks.tank(session, 1).facts, food_protein_percent=45.0)
        tanks.change_tank(session, 1, facts)
    for days in range(14):
        record.write(ONE_SCOOP, at=MONDAY - timedelta(days=days, hours=1))

    text = seen(adult, f"{PAGE}?group_1=16&group_2=6&nitrate=12&target=20")

    assert re.search(r"Fish weigh 27 g .*? 32 g ", text)
    assert re.search(r"Nitrate rises in a week, .*? 3.8 mg/L .*? 4.5 mg/L ", text)
    assert re.search(r"Days until nitrate goes from 12 to 20 mg/L 14.8 .*? 12.4 ", text)
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
