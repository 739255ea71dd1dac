"""Every row of the tables, through the whole engine."""

import pytest

from app.rules.registry import RULES
from tests.rules.checks import judged
from tests.rules.situations.phrases import read
from tests.rules.situations.table import Situation, due, said, situations

ALL = situations()
LEAST = 150


@pytest.mark.parametrize("row", ALL, ids=[row.name for row in ALL])
def test_situation(row: Situation) -> None:
    seen = judged(read(row.record))
    expected = (row.says, row.due, row.state)
    assert (said(seen, row.rule), due(seen), seen.state.word) == expected


def test_there_are_enough_rows_and_none_twice() -> None:
    assert len(ALL) >= LEAST
    assert len({(row.rule, row.record) for row in ALL}) == len(ALL)


def test_rows_are_numbered_one_after_the_other() -> None:
    for file in {row.name.split("-")[0] for row in ALL}:
        numbers = [int(r.name.split("-")[1]) for r in ALL if r.name.startswith(f"{file}-")]
        assert numbers == list(range(1, len(numbers) + 1)), file


def test_every_row_names_a_rule() -> None:
    assert {row.rule for row in ALL} <= {rule.id for rule in RULES}


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("calm; the water smells funny", "“the water smells funny” is no phrase"),
        ("fed now, 3 pinches", "“3 pinches” is no detail"),
        ("3 animals of the kind dragon", "“dragon” is no animal"),
    ],
)
def test_an_unknown_phrase_is_named(text: str, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        read(text)
