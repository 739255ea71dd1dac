"""Risk sheet, transfer note, own texts: what the record adds, and what nobody wrote."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.services import equipment
from app.services.equipment import EquipmentDraft
from app.services.papers import texts
from app.services.papers.risk import OWN_RULES, risk_sheet
from app.services.papers.transfer import transfer_note
from tests.record import MONDAY, Record, reading
from tests.services.papers.conftest import Look


def test_rules_that_nobody_wrote_are_gaps(record: Record, seen: Look) -> None:
    empty = risk_sheet(seen(), load(), {})
    assert empty.gaps == len(OWN_RULES) == 10
    with record.database.writing() as session:
        texts.keep_of_site(session, seen().site.id, {"sinks": "  The blue one.  ", "cuts": ""})
    with record.database.reading() as session:
        kept = texts.of_site(session, seen().site.id)
        assert texts.of_tank(session, record.tank_id) == {}
    assert kept == {"sinks": "The blue one."}
    sheet = risk_sheet(seen(), load(), kept)
    assert sheet.gaps == 9
    hands = sheet.hazards[0]
    assert [rule.text for rule in hands.rules] == ["", "", "The blue one.", ""]
    assert {caution.key for caution in hands.cautions} == {"hands", "allergies"}


def test_a_text_is_changed_forgotten_and_bounded(record: Record) -> None:
    with record.database.writing() as session:
        for text in ("first", "second"):
            texts.keep_of_tank(session, record.tank_id, {"vet_contact": text, "other": "stays"})
        texts.keep_of_tank(session, record.tank_id, {"vet_contact": ""})
        assert texts.of_tank(session, record.tank_id) == {"other": "stays"}
        with pytest.raises(Refused, match="too long"):
            texts.keep_of_tank(session, record.tank_id, {"vet_contact": "x" * 501})
        with pytest.raises(NotFound):
            texts.keep_of_tank(session, 99, {"vet_contact": "x"})
        with pytest.raises(NotFound):
            texts.keep_of_site(session, 99, {"sinks": "x"})


@pytest.mark.parametrize(
    ("us", "says"),
    [
        # 85.0 L net: 1 kg a liter; 1 lb is 0.45359237 kg (exact, international pound)
        (False, "the water weighs about 85\u00a0kg"),
        (True, "the water weighs about 187\u00a0lb (85\u00a0kg)"),
    ],
)
def test_weight_and_checks_come_from_the_record(
    record: Record, seen: Look, us: bool, says: str
) -> None:
    record.write_checks(MONDAY - timedelta(days=6))
    told: TankSnapshot = replace(seen(), site=replace(seen().site, us_gallons=us))
    power, weight = risk_sheet(told, load(), {}).hazards[2:]
    assert says in weight.facts[0]
    assert power.facts[0].endswith("Tuesday 2 February 2027.")


def test_a_transfer_note_tells_the_water_they_are_used_to(record: Record, seen: Look) -> None:
    for ago, warm in ((2, 24.1), (9, 24.9), (16, 23.8)):
        when = MONDAY - timedelta(days=ago)
        record.write(NewTest(), reading(Quantity.TEMPERATURE, warm), at=when)
    card = reading(Quantity.NITRATE, 20.0, low=10.0, high=40.0)
    record.write(NewTest(), card, at=MONDAY - timedelta(days=3))
    record.write(NewTest(), reading(Quantity.GH, 8.0), at=MONDAY - timedelta(days=90))
    groups = [group.id for group in seen().groups]
    note = transfer_note(seen(), {groups[0]: 4, groups[1]: 99}, frozenset())
    # never more than live here
    assert [group.going for group in note.groups] == [4, 6]
    assert note.total == 10
    water = {line.label: (line.text, line.since) for line in note.water}
    assert water["Temperature"] == ("23.8 to 24.9\u00a0°C", "3 readings in 35 days")
    assert water["Nitrate"][0] == "10 to 40\u00a0mg/L (as nitrate)"
    assert water["General hardness (GH)"] == (
        "8.0\u00a0°dGH",
        "read once, on Tuesday 10 November 2026",
    )
    assert water["pH"] == ("", "")


def test_only_what_was_ticked_goes_along(record: Record, seen: Look) -> None:
    with record.database.writing() as session:
        heater = equipment.add(session, record.tank_id, EquipmentDraft(kind="heater", name="Warm"))
        equipment.add(session, record.tank_id, EquipmentDraft(kind="lamp", name="Long lamp"))
    note = transfer_note(seen(), {}, frozenset({heater, 999}))
    assert [(p.text, p.going) for p in note.pieces] == [
        ("Warm (heater)", True),
        ("Long lamp (lamp)", False),
    ]
