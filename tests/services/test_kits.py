"""Kits: their cards, their lots, and what they showed of something known."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.services import kits, tanks
from app.services.kits import ComparisonDraft, KitDraft
from tests.record import Record

CARD = KitDraft(
    quantity=Quantity.NITRATE, name="card", unit="mg/L", basis="as nitrate", steps=(0, 10, 25)
)
STICK = KitDraft(quantity=Quantity.TEMPERATURE, name="Stick", unit="°C")


def test_card_colors_must_ascend(record: Record) -> None:
    draft = replace(CARD, steps=(0, 10, 5))
    with record.database.writing() as session, pytest.raises(Refused, match="lowest"):
        kits.add_kit(session, draft)


def test_a_kit_is_changed_and_put_away(record: Record) -> None:
    with record.database.writing() as session:
        kit = kits.add_kit(session, CARD)
        kits.change_kit(session, kit, replace(CARD, lot="L-9", next_check_on=date(2027, 3, 1)))
        (found,) = kits.kits(session)
        assert (found.lot, found.next_check_on) == ("L-9", date(2027, 3, 1))
        with pytest.raises(Refused, match="measures one thing"):
            kits.change_kit(session, kit, replace(CARD, quantity=Quantity.NITRITE))
        kits.retire_kit(session, kit, date(2027, 2, 8))
        assert kits.kits(session) == ()
        with pytest.raises(NotFound):
            kits.retire_kit(session, 99, date(2027, 2, 8))


def test_a_comparison_is_kept_and_sets_the_next_check(record: Record) -> None:
    with record.database.writing() as session:
        stick, card = kits.add_kit(session, STICK), kits.add_kit(session, CARD)
        before = tanks.revision(session, record.tank_id)
        for read in (25.5, 26.0):
            draft = ComparisonDraft(
                known=25.0, read=read, against="ice water", next_check_on=date(2027, 8, 1)
            )
            last = kits.compare_kit(session, stick, draft, now=record.now)
        assert tanks.revision(session, record.tank_id) == before + 2
        found = kits.comparisons(session, stick)
        assert kits.comparisons(session, card) == ()
        assert [c.offset for c in found] == [1.0, 0.5]
        assert kits.comparisons(session) == found
        kits.remove_comparison(session, last)
        assert [c.offset for c in kits.comparisons(session)] == [0.5]
        assert {k.id: k.next_check_on for k in kits.kits(session)} == {
            stick: date(2027, 8, 1), card: None,
        }  # fmt: skip


def test_a_comparison_that_cannot_be_is_refused(record: Record) -> None:
    with record.database.writing() as session:
        stick = kits.add_kit(session, STICK)
        with pytest.raises(Refused, match="lie between"):
            kits.compare_kit(session, stick, ComparisonDraft(known=25, read=250), now=record.now)
        with pytest.raises(NotFound):
            kits.compare_kit(session, 99, ComparisonDraft(known=25, read=25), now=record.now)
        assert kits.comparisons(session) == ()
