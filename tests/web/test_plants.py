"""Plants: from the list or by name, trimmed with their fresh mass, taken out, and algae."""

from app.domain.records import EntryKind
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import lines, opened, save, saved_id
from tests.web.visits import NBSP, seen

PAGE = "/tank/1/plants"
ANUBIAS = f"{PAGE}?plant=anubias-barteri"


def test_a_plant_of_the_list_is_planted_once(adult: CheckedClient, record: Record) -> None:
    form = opened(adult, ANUBIAS)
    for _ in range(2):
        assert adult.post(ANUBIAS, data=form).status_code == 303
    text = seen(adult, PAGE)
    assert text.count("Where the facts come from") == 1
    assert "Check local rules" in text
    assert [line.detail.job for line in lines(record, EntryKind.JOB)] == ["planted"]


def test_trimmings_add_up_by_month_with_their_nitrogen(adult: CheckedClient) -> None:
    save(adult, ANUBIAS)
    for grams in ("60", "40"):
        assert save(adult, f"{PAGE}/1", what="trim", grams=grams).status_code == 303
    text = seen(adult, PAGE)
    # 100 g fresh, 8 to 10 % dry, 26.5 mg/g: 212 to 265 mg
    assert "February 2027 100 g 212 to 265 mg" in text


def test_a_plant_that_was_taken_out_can_come_back(adult: CheckedClient) -> None:
    save(adult, ANUBIAS)
    assert save(adult, f"{PAGE}/1", what="plant_removed").status_code == 303
    assert "Anubias was taken out." in seen(adult, PAGE)
    form = opened(adult, PAGE, at=0)
    assert adult.post(f"{PAGE}/1/back", data=form).status_code == 303
    assert "taken out" not in seen(adult, PAGE)


def test_what_cannot_be_is_told_beside_the_field(adult: CheckedClient) -> None:
    answer = save(adult, PAGE, name="")
    assert answer.status_code == 422
    assert "Enter the name of the plant." in answer.text
    save(adult, ANUBIAS)
    answer = save(adult, f"{PAGE}/1", grams="some")
    assert answer.status_code == 422
    assert 'value="some"' in answer.text


def test_algae_are_written_with_a_look(adult: CheckedClient) -> None:
    save(adult, "/tank/1/look", algae="2")
    assert "8 February 2027 much" in seen(adult, PAGE)


def test_a_search_finds_by_an_old_name(adult: CheckedClient) -> None:
    assert "Java fern" in seen(adult, f"{PAGE}?name=microsorum")


def test_helpers_do_not_see_it(helper: CheckedClient) -> None:
    assert helper.get(PAGE).status_code == 403


def test_fixing_an_entry_keeps_what_was_weighed(adult: CheckedClient, record: Record) -> None:
    save(adult, ANUBIAS)
    entry = saved_id(save(adult, f"{PAGE}/1", what="trim", grams="60"))
    answer = save(adult, f"/tank/1/entry/{entry}/fix", reason="misread", grams="65")
    assert answer.status_code == 303
    newest = lines(record, EntryKind.JOB)[0]
    assert (newest.detail.grams, newest.detail.plant_id) == (65.0, 1)
    assert f"65{NBSP}g fresh" in newest.title
