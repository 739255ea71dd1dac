"""What a stranger to the tank reads: short, plain, and to do rather than to know."""

import pytest

from app.domain.drafts import NewLook
from app.services.digest import STATE_LINES
from app.services.sitter import Found
from app.services.sitter_cards import CARDS, card
from app.services.sitter_sheet import (
    LEAVE_ALONE,
    LEAVE_ALONE_BUT_FOOD,
    ONLY_FOOD,
    ONLY_PACKETS,
)
from tests.rules.readability import grade

CARD_TEXTS = [line for cards in CARDS.values() for c in cards for line in (c.title, *c.lines)]
TEXTS = [*CARD_TEXTS, *STATE_LINES.values(), LEAVE_ALONE, ONLY_PACKETS, LEAVE_ALONE_BUT_FOOD,
         ONLY_FOOD]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS)
def test_it_can_be_read_in_sixth_grade(text: str) -> None:
    assert grade(text) <= 6.0
    assert max(len(s.split()) for s in text.split(". ")) <= 14


def test_four_pictures_at_most_and_each_says_what_is_written() -> None:
    for found in (Found.ODD, Found.HELP):
        assert len(CARDS[found]) == 4
        for each in CARDS[found]:
            look = NewLook(signs=(each.sign,) if each.sign else (), note=each.note)
            assert look != NewLook(), each.key
            assert card(found, each.key) == each
    assert card(Found.ODD, "leak") is None
