"""Numbers, lists and sources show the very files that the app works with."""

import pytest
from markupsafe import escape

from app.services import words
from app.services.livestock import catalogue
from tests.page_checker import CheckedClient
from tests.web.visits import NBSP, seen, words_of

FILES = sorted({number.file for number in words.numbers()})


def plain(text: str) -> str:
    """A text with ordinary spaces, as `seen` gives it."""
    return text.replace(NBSP, " ")


def test_numbers_leads_to_every_file_and_list(adult: CheckedClient) -> None:
    page = adult.get("/numbers").text
    assert f"These are the {len(words.numbers())} numbers" in page
    for file in FILES:
        assert f'href="/numbers/of/{file}"' in page
    for name in ("animals", "plants", "kits", "sources"):
        assert f'href="/numbers/{name}"' in page


@pytest.mark.parametrize("file", FILES)
def test_every_number_stands_there_with_its_source(adult: CheckedClient, file: str) -> None:
    text = seen(adult, f"/numbers/of/{file}")
    for number in words.numbers():
        if number.file == file:
            assert number.basis in text
            assert plain(number.note) in text
            source = words.source_of(number)
            assert source is None or plain(source.title) in text


def test_short_names_of_water_tests_are_written_as_people_write_them(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers/of/needs")
    assert "pH apart" in text
    assert "GH overlap" in text
    assert "Ph " not in text


def test_a_file_that_does_not_exist_has_no_page(adult: CheckedClient) -> None:
    assert adult.get("/numbers/of/nothing").status_code == 404
    assert adult.get("/numbers/animals/no-such-fish").status_code == 404
    assert adult.get("/numbers/plants/no-such-plant").status_code == 404


def test_every_source_stands_with_what_comes_from_it(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers/sources")
    for source in catalogue.sources():
        assert plain(source.title) in text


def test_what_was_held_against_the_outside_is_shown(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers")
    for check in catalogue.checks():
        assert plain(check.what) in text
        assert plain(check.difference) in text


def test_kits_show_their_steps_and_waits(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers/kits")
    for kit in catalogue.kits():
        assert kit.title in text
        assert all(step.text in text for step in kit.steps)
    assert "Wait 5 minutes." in text
    assert "Wait 30 seconds." in text
    assert "the sheet is right" in text


@pytest.mark.parametrize("name", ["animals", "plants"])
def test_a_long_list_comes_in_pages_and_none_is_left_out(adult: CheckedClient, name: str) -> None:
    whole = catalogue.animals() if name == "animals" else catalogue.plants()
    text, url = "", f"/numbers/{name}"
    while url:
        page = adult.get(url).text
        text += page
        assert page.count('<th scope="row"') <= 50
        _, _, rest = page.partition('class="btn btn-plain" href="')
        after = [part for part in page.split('href="') if "After these" in part[:120]]
        url = after[0].partition('"')[0] if after else ""
        assert rest or len(whole) <= 50
    for record in whole:
        assert f'href="/numbers/{name}/{record.slug}"' in text


def test_a_list_is_searched_by_any_name(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers/animals?name=corydoras+paleatus")
    assert "1 animal." in text
    assert "Peppered corydoras" in text
    assert "Amazon sword" in seen(adult, "/numbers/plants?name=ECHINODORUS")
    assert "Nothing of that name" in seen(adult, "/numbers/animals?name=zzz")


def test_odd_starts_and_names_do_no_harm(adult: CheckedClient) -> None:
    for query in ("start=-1", "start=x", "start=9999", "start=²", "name=%3Cb%3E", "name=%20"):
        assert adult.get(f"/numbers/animals?{query}").status_code == 200


def test_the_list_marks_what_is_from_memory(adult: CheckedClient) -> None:
    text = seen(adult, "/numbers/animals?name=neon+tetra")
    assert "A star marks what is from memory, not checked." in text
    # temperature and pH of this fish were looked up, its group was checked, its GH was not
    assert "20–26 °C 5–7 1–10 °dGH * 8 3.5 cm *" in text


@pytest.mark.parametrize(
    "slug", ["paracheirodon-innesi", "neocaridina-davidi", "vittina-natalensis"]
)
def test_the_page_of_an_animal_says_where_each_value_comes_from(
    adult: CheckedClient, slug: str
) -> None:
    animal = catalogue.animal(slug)
    html = adult.get(f"/numbers/animals/{slug}").text
    text = words_of(html)
    for fact in catalogue.facts_of(animal):
        assert f'<th scope="row" data-label="What">{escape(fact.label)}</th>' in html
        if fact.is_memory:
            assert "rom memory" in fact.said
            assert fact.said[1:].replace("'", "’")[:40] in text or "checked against" in fact.said
    assert "From memory, not checked" in text


def test_a_page_with_survival_limits_says_they_are_no_advice(adult: CheckedClient) -> None:
    said = "no advice for keeping"
    assert said in seen(adult, "/numbers/animals/carassius-auratus")
    assert said not in seen(adult, "/numbers/animals/paracheirodon-innesi")


def test_a_regulated_plant_says_so(adult: CheckedClient) -> None:
    said = "Look up your local law first"
    assert said in seen(adult, "/numbers/plants/egeria-densa")
    assert said not in seen(adult, "/numbers/plants/anubias-barteri")


@pytest.mark.parametrize("path", ["animals", "plants", "kits", "sources", "of/water"])
def test_helpers_do_not_get_the_lists(helper: CheckedClient, path: str) -> None:
    assert helper.get(f"/numbers/{path}").status_code == 403
