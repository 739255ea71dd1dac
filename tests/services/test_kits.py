"""Kits: their cards, their lots, and which of them are in use."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import kits, tanks
from app.services.sites import FIRST
from tests.record import Record

CARD = KitFacts(
    quantity=Quantity.NITRATE, name="card", unit="mg/L", basis="as nitrate", steps=(0, 10, 25)
)


def test_card_colors_must_ascend(record: Record) -> None:
    draft = replace(CARD, steps=(0, 10, 5))
    with record.database.writing() as session, pytest.raises(Refused, match="lowest"):
        kits.add_kit(session, FIRST, draft)


def test_a_kit_is_changed_put_away_and_used_again(record: Record) -> None:
    with record.database.writing() as session:
        kit = kits.add_kit(session, FIRST, CARD)
        kits.change_kit(session, kit, replace(CARD, lot="L-9", next_check_on=date(2027, 3, 1)))
        (found,) = kits.kits(session, FIRST)
        assert (found.lot, found.next_check_on) == ("L-9", date(2027, 3, 1))
        with pytest.raises(Refused, match="measures one thing"):
            kits.change_kit(session, kit, replace(CARD, quantity=Quantity.NITRITE))
        kits.retire_kit(session, kit, date(2027, 2, 8))
        assert kits.kits(session, FIRST) == ()
        assert [k.id for k in kits.kits(session, FIRST, put_away=True)] == [kit]
        assert kits.kit(session, FIRST, kit).retired_on == date(2027, 2, 8)
        kits.bring_back(session, kit)
        assert [k.id for k in kits.kits(session, FIRST)] == [kit]


def test_there_is_no_such_kit(record: Record) -> None:
    with record.database.writing() as session:
        with pytest.raises(NotFound):
            kits.retire_kit(session, 99, date(2027, 2, 8))
        with pytest.raises(NotFound):
            kits.bring_back(session, 99)
        with pytest.raises(NotFound):
            kits.change_kit(session, 99, CARD)
        with pytest.raises(NotFound):
            kits.kit(session, FIRST, 99)


def test_the_same_form_twice_is_one_kit(record: Record) -> None:
    with record.database.writing() as session:
        first = kits.add_kit(session, FIRST, CARD)
        before = tanks.revision(session, record.tank_id)
        assert kits.add_kit(session, FIRST, replace(CARD, name="  card ")) == first
        assert tanks.revision(session, record.tank_id) == before
        assert len(kits.kits(session, FIRST)) == 1


def test_two_kits_of_a_name_are_told_apart_by_their_lot(record: Record) -> None:
    with record.database.writing() as session:
        kits.add_kit(session, FIRST, CARD)
        with pytest.raises(Refused, match="stands in the list already"):
            kits.add_kit(session, FIRST, replace(CARD, name="Card", opened_on=date(2027, 2, 1)))
        kits.add_kit(session, FIRST, replace(CARD, lot="L-2"))
        assert [k.lot for k in kits.kits(session, FIRST)] == ["", "L-2"]


def test_a_kit_that_was_put_away_makes_room_for_a_new_one(record: Record) -> None:
    with record.database.writing() as session:
        old = kits.add_kit(session, FIRST, CARD)
        kits.retire_kit(session, old, date(2027, 2, 8))
        assert kits.add_kit(session, FIRST, CARD) != old
