"""What a stranger to the tank reads: short, plain, and to do rather than to know."""

from datetime import timedelta

import pytest

from app.domain.drafts import NewLook, NewStockEvent
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.knowledge.load import load
from app.services import equipment, tasks
from app.services.equipment import EquipmentDraft
from app.services.livestock import animals
from app.services.sharing.digest import STATE_LINES
from app.services.sharing.sitter import Found
from app.services.sharing.sitter_cards import CARDS, WARMTH, card, cards
from app.services.sharing.sitter_sheet import (
    LEAVE_ALONE,
    LEAVE_ALONE_BUT_FOOD,
    ONLY_FOOD,
    ONLY_PACKETS,
)
from app.services.sharing.sitter_usual import BUBBLES, COME_LATER, COME_UP, HUMS, usual
from tests.record import MONDAY, Record, reading
from tests.rules.readability import grade

CARD_TEXTS = [line for cards in CARDS.values() for c in cards for line in (c.title, *c.lines)]
TEXTS = [*CARD_TEXTS, *STATE_LINES.values(), LEAVE_ALONE, ONLY_PACKETS, LEAVE_ALONE_BUT_FOOD,
         ONLY_FOOD, BUBBLES, COME_LATER, COME_UP, HUMS]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS)
def test_it_can_be_read_in_sixth_grade(text: str) -> None:
    assert grade(text) <= 6.0
    assert max(len(s.split()) for s in text.split(". ")) <= 14


def test_a_handful_of_pictures_and_each_says_what_is_written() -> None:
    for found, most in ((Found.ODD, 5), (Found.HELP, 4)):
        assert len(CARDS[found]) == most
        for each in CARDS[found]:
            look = NewLook(signs=(each.sign,) if each.sign else (), note=each.note)
            assert look != NewLook(), each.key
            assert card(found, each.key) == each
    assert card(Found.ODD, "leak") is None


def test_the_card_of_the_thermometer_says_where_this_tank_ends() -> None:
    told = {each.key: each.lines for each in cards(Found.ODD, "Too warm is over 26.0 °C.")}
    assert told[WARMTH][0] == "Too warm is over 26.0 °C."
    assert "call the first number" in told[WARMTH][-1]
    assert "Too warm is over 26.0 °C." not in [
        line for key, lines in told.items() if key != WARMTH for line in lines
    ]
    assert cards(Found.ODD, "") == CARDS[Found.ODD]


@pytest.fixture
def lived(record: Record) -> Record:
    """Brook after a week: warmth and counts were written, and who lives there has names."""
    for ago, (celsius, seen) in enumerate(((24.1, 14), (24.8, 16), (24.4, 15)), start=1):
        at = MONDAY - timedelta(days=ago)
        record.write(NewLook(seen=seen), reading(Quantity.TEMPERATURE, celsius), at=at)
    return record


def told(record: Record, **texts: str) -> str:
    with record.database.reading() as session:
        snapshot = tasks.snapshot_of(session, 1, now=record.now).for_pupils()
    return " ".join(usual(snapshot, load(), texts)).replace("\u00a0", " ")


def test_what_looks_usual_is_told_from_the_record(lived: Record) -> None:
    with lived.database.writing() as session:
        kind = EquipmentDraft(kind="filter", name="Corner filter")
        equipment.add(session, 1, kind)
        group = animals.add_group(
            session, 1, "kuhli loach", "bottom", 9.0, species="Pangio semicincta"
        )
    lived.write(NewStockEvent(what=StockEventKind.ARRIVED, group_id=group, count=2))
    page = told(lived)

    assert "In the last 28 days the thermometer read 24.1 to 24.8 °C." in page
    assert "Those who counted saw 14 to 16 of 18." in page
    assert "Kuhli loach: out at night, hidden by day." in page
    assert COME_LATER in page
    assert HUMS in page


def test_what_people_wrote_themselves_comes_first(lived: Record) -> None:
    page = told(lived, sound="It gurgles at night", feeding="The corys come last.")
    assert "It gurgles at night. " in page + " "
    assert "The corys come last." in page
    assert COME_LATER not in page


def test_a_tank_of_which_nothing_is_known_claims_nothing(record: Record) -> None:
    page = told(record)
    assert "thermometer" not in page
    assert "count" not in page
    assert "hum" not in page
