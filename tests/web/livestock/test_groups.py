"""Adding and changing groups, and the household's own list of animals."""

import pytest

from app.services import own_species
from app.services.livestock import animals
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen, words_of

ADD, PAGE, OWN = "/tank/1/animals", "/tank/1/fish-and-plants", "/own-animals"
READ = {
    "common_name": "Anna’s minnow",
    "scientific_name": "Minno annae",
    "source": "A book of minnows, page 12",
    "temperature_low": "16",
    "temperature_high": "20",
}


@pytest.mark.parametrize(
    "typed", ["peppered", "Hoplisoma pale", "corydoras paleatus"]
)  # common, scientific and former name
def test_an_animal_is_found_by_each_of_its_names(adult: CheckedClient, typed: str) -> None:
    answer = adult.get(ADD, query_string={"name": typed})
    assert f'href="{ADD}?animal=hoplisoma-paleatum"' in answer.text


def test_a_name_that_nobody_has(adult: CheckedClient) -> None:
    assert "Nothing of that name" in seen(adult, f"{ADD}?name=xyzzy")


def test_choosing_an_animal_fills_height_and_length(adult: CheckedClient, record: Record) -> None:
    form = form_on(adult.get(f"{ADD}?animal=hoplisoma-paleatum").text)
    assert (form["name"], form["band"], form["adult_cm"]) == ("Peppered corydoras", "bottom", "7")
    sent = {"count": "6", "source": "Mill Street", "apart_days": "21", "length_cm": "3,5"}
    assert save(adult, f"{ADD}?animal=hoplisoma-paleatum", **sent).status_code == 303

    with record.database.reading() as session:
        group = animals.groups(session, 1, now=MONDAY)[-1]
        batch = animals.batches(session, 1)[-1]
    assert (group.species, group.count) == ("Hoplisoma paleatum", 6)
    assert (batch.group_id, batch.source) == (group.id, "Mill Street")
    assert "Hoplisoma paleatum" in seen(adult, PAGE)


def test_a_group_is_told_which_animal_it_is(adult: CheckedClient) -> None:
    change = "/tank/1/animals/1/change"
    assert "Say which animal this is" in seen(adult, PAGE)
    form = form_on(adult.get(f"{change}?animal=trigonostigma-heteromorpha").text)
    assert form["name"] == "harlequin rasbora"
    assert save(adult, f"{change}?animal=trigonostigma-heteromorpha").status_code == 303
    assert "Trigonostigma heteromorpha" in seen(adult, PAGE)


def test_a_group_does_not_take_the_name_of_another(adult: CheckedClient) -> None:
    answer = save(adult, "/tank/1/animals/1/change", name="Peppered Cory")
    assert answer.status_code == 422
    assert "There is a group called Peppered Cory already." in words_of(answer.text)
    assert form_on(answer.text)["name"] == "Peppered Cory"


def test_an_own_animal_is_written_found_and_compared(adult: CheckedClient, record: Record) -> None:
    assert save(adult, OWN, **READ).status_code == 303
    assert "Anna’s minnow Minno annae , A book of minnows, page 12" in seen(adult, OWN)
    assert "your own list" in seen(adult, f"{ADD}?name=minno")

    assert save(adult, f"{ADD}?animal=minno-annae", count="4").status_code == 303
    page = seen(adult, PAGE)
    assert "16 to 20 °C" in page

    with record.database.reading() as session:
        own = own_species.own_species(session, FIRST)[0]
    strike = f"{OWN}/{own.id}/remove"
    csrf = opened(adult, OWN)["csrf_token"]
    assert adult.post(strike, data={"csrf_token": csrf}).status_code != 303
    assert "Anna’s minnow" in seen(adult, OWN)


def test_an_own_animal_is_changed_and_struck_out(adult: CheckedClient, record: Record) -> None:
    save(adult, OWN, **READ)
    with record.database.reading() as session:
        url = f"{OWN}/{own_species.own_species(session, FIRST)[0].id}"
    assert opened(adult, url)["temperature_high"] == "20"
    assert save(adult, url, temperature_high="21").status_code == 303
    assert opened(adult, url)["temperature_high"] == "21"
    csrf = opened(adult, url)["csrf_token"]
    assert adult.post(f"{url}/remove", data={"csrf_token": csrf}).status_code == 303
    assert "Anna’s minnow" not in seen(adult, OWN).replace("Struck from the list: Anna’s", "")


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"source": ""}, "Write where you read it."),
        ({"temperature_high": ""}, "Enter both ends, or none."),
        ({"temperature_high": "16"}, "The high end must lie above the low end."),
        ({"ph_low": "soft"}, "Write the lowest pH with digits only."),
        ({"scientific_name": ""}, "Enter the scientific name."),
    ],
)
def test_what_was_read_is_asked_for(
    adult: CheckedClient, changed: dict[str, str], sentence: str
) -> None:
    answer = save(adult, OWN, **(READ | changed))
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["common_name"] == "Anna’s minnow"
