"""Several readers of one tube, on the test page and when the entry is fixed."""

from urllib.parse import urlsplit

import pytest

from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, Reading
from app.services import kits
from app.services.school import tiles
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import Values, form_on, lines, opened, save, saved_id
from tests.web.visits import seen, words_of

TEST = "/tank/1/test"
CARD = (5, 10, 20, 40, 80)


@pytest.fixture(autouse=True)
def card(record: Record) -> int:
    """A nitrate card is in use, and a third helper has a tile."""
    facts = KitFacts(
        quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as nitrate", steps=CARD
    )
    with record.database.writing() as session:
        tiles.add_helper(session, "Moss")
        return kits.add_kit(session, FIRST, facts)


def with_readers(client: CheckedClient, number: int, url: str = TEST, **typed: str) -> Values:
    """The form after its button for one more reader was pressed until there are so many."""
    form = opened(client, url) | typed
    for _ in range(number - 1):
        answer = client.post(url, data=form | {"more": "nitrate"})
        assert answer.status_code == 303
        form = form_on(client.get(answer.location).text)
    return form


def nitrate(record: Record) -> Reading:
    """The nitrate of the newest test."""
    return next(
        r for r in lines(record, EntryKind.WATER_TEST)[0].readings if r.quantity == "nitrate"
    )


def named(record: Record) -> dict[str, str]:
    """The tiles, as the choices of the form give them."""
    with record.database.reading() as session:
        return {tile.name: str(tile.author_id) for tile in tiles.hands(session)}


def three(client: CheckedClient, record: Record) -> Values:
    by = named(record)
    return with_readers(client, 3) | {
        "nitrate": "10", "nitrate_by": by["Finch"],
        "nitrate_2": "20", "nitrate_2_by": by["Moss"],
        "nitrate_3": "20", "nitrate_3_by": by["Otter"],
    }  # fmt: skip


def test_three_readers_are_three_rows_of_one_entry(helper: CheckedClient, record: Record) -> None:
    saved_id(helper.post(TEST, data=three(helper, record) | {"hands": str(record.otter)}))

    found = nitrate(record)
    assert (found.value, found.readers) == (20, 3)
    assert found.tube is not None
    assert [(each.reader, each.typed) for each in found.tube.seen] == [
        ("Finch", "10"), ("Moss", "20"), ("Otter", "20"),
    ]  # fmt: skip


def test_one_more_reader_saves_nothing_and_loses_nothing(
    helper: CheckedClient, record: Record
) -> None:
    typed = {"temperature": "24.6", "nitrate": "10", "note": "at noon", "hands": str(record.otter)}

    form = with_readers(helper, 2, **typed)

    assert {name: form[name] for name in typed} == typed
    assert form["nitrate_2"] == ""
    assert lines(record, EntryKind.WATER_TEST) == ()


def test_the_page_that_came_back_can_be_loaded_again(helper: CheckedClient) -> None:
    form = opened(helper, TEST) | {"temperature": "24.6"}
    back = helper.post(TEST, data=form | {"more": "nitrate"}).location
    again = form_on(helper.get(back).text)
    assert (again["temperature"], again["token"]) == ("24.6", form["token"])
    assert "nitrate_2" in again
    assert "csrf" not in urlsplit(back).query


def test_there_is_room_for_five(helper: CheckedClient) -> None:
    form = with_readers(helper, 5)
    assert "nitrate_5" in form
    answer = helper.post(TEST, data=form | {"more": "nitrate"})
    page = helper.get(answer.location).text
    assert "nitrate_6" not in form_on(page)
    assert "One more reader" not in page


@pytest.mark.parametrize("asked", ["ph", "mood", ""])
def test_a_meter_has_no_second_reader(helper: CheckedClient, asked: str) -> None:
    answer = helper.post(TEST, data=opened(helper, TEST) | {"more": asked})
    assert f"{asked}_2" not in form_on(helper.get(answer.location).text)


def test_a_reader_without_a_name_counts(helper: CheckedClient, record: Record) -> None:
    form = with_readers(helper, 2) | {"nitrate": "10", "nitrate_2": "20"}
    saved_id(helper.post(TEST, data=form | {"hands": str(record.otter)}))
    assert (nitrate(record).readers, nitrate(record).reader) == (2, "")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"nitrate_2_by": "Moss"}, "Choose the color that Moss saw, or nobody."),
        (
            {"nitrate_by": "Moss", "nitrate_2": "20", "nitrate_2_by": "Moss"},
            "Moss stands here twice. Choose who else looked.",
        ),
        ({"nitrate_2": "15"}, "Choose a color for Nitrate."),
        ({"nitrate_2": "20", "nitrate_2_by": "Somebody"}, "Choose who read it."),
    ],
)
def test_what_is_half_said_is_asked_about_and_kept(
    helper: CheckedClient, record: Record, typed: dict[str, str], sentence: str
) -> None:
    by = named(record)
    chosen = {name: by.get(value, value) for name, value in typed.items()}
    form = with_readers(helper, 2) | {"nitrate": "10", "hands": str(record.otter)} | chosen
    answer = helper.post(TEST, data=form)
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["nitrate"] == "10"
    assert lines(record, EntryKind.WATER_TEST) == ()


def test_the_second_color_alone_is_a_test(helper: CheckedClient, record: Record) -> None:
    form = with_readers(helper, 2) | {"nitrate_2": "40", "hands": str(record.otter)}
    saved_id(helper.post(TEST, data=form))
    assert (nitrate(record).value, nitrate(record).readers) == (40, 1)


def test_helpers_choose_among_themselves(helper: CheckedClient, adult: CheckedClient) -> None:
    for client, offered in ((helper, False), (adult, True)):
        answer = client.post(TEST, data=opened(client, TEST) | {"more": "nitrate"})
        page = client.get(answer.location).text
        assert (">Grown-up in charge</option>" in page) is offered


# fixing


def test_fixing_one_value_keeps_every_reader(adult: CheckedClient, record: Record) -> None:
    entry_id = saved_id(adult.post(TEST, data=three(adult, record) | {"ph": "8.8"}))
    fix = f"/tank/1/entry/{entry_id}/fix"

    saved_id(save(adult, fix, ph="6.8", reason="misread"))

    found = nitrate(record)
    assert (found.value, found.reader) == (20, "Finch, Moss and Otter")
    assert found.tube is not None
    assert [each.typed for each in found.tube.seen] == ["10", "20", "20"]
    # unchanged in nothing but the pH: three rows were not folded into one
    assert found.low == 5


def test_a_reader_who_left_the_class_stays_in_the_fixed_entry(
    adult: CheckedClient, record: Record
) -> None:
    entry_id = saved_id(adult.post(TEST, data=three(adult, record)))
    with record.database.writing() as session:
        tiles.put_away(session, record.finch, now=record.now)

    saved_id(save(adult, f"/tank/1/entry/{entry_id}/fix", nitrate_3="40", reason="misread"))

    assert (nitrate(record).reader, nitrate(record).value) == ("Finch, Moss and Otter", 20)


def test_a_forgotten_reader_is_added_when_it_is_fixed(adult: CheckedClient, record: Record) -> None:
    typed = {"nitrate": "10", "when": "yesterday"}
    entry_id = saved_id(save(adult, TEST, **typed))
    before = lines(record, EntryKind.WATER_TEST)[0].happened_at
    fix = f"/tank/1/entry/{entry_id}/fix"

    form = with_readers(adult, 2, fix, reason="misread")
    assert form["reason"] == "misread"
    saved_id(adult.post(fix, data=form | {"nitrate_2": "20"}))

    assert (nitrate(record).readers, nitrate(record).value) == (2, 20)
    assert lines(record, EntryKind.WATER_TEST)[0].happened_at == before


def test_a_value_measured_twice_is_fixed_with_both(adult: CheckedClient, record: Record) -> None:
    typed = {"temperature": "33", "temperature_again": "32.5"}
    asked = save(adult, TEST, temperature="33")
    entry_id = saved_id(adult.post(TEST, data=form_on(asked.text) | typed))

    form = opened(adult, f"/tank/1/entry/{entry_id}/fix")

    assert {name: form[name] for name in typed} == typed


def test_the_entry_shows_what_each_reader_typed(adult: CheckedClient, record: Record) -> None:
    entry_id = saved_id(adult.post(TEST, data=three(adult, record)))
    page = seen(adult, f"/tank/1/entry/{entry_id}")
    assert "Finch 10, Moss 20 and Otter 20 mg/L as nitrate" in page
