"""Notes about letting animals go, and a tank that is being closed."""

import pytest

from app.domain.records import JobKind, StockEventKind
from app.rules.model import Severity
from tests.rules.checks import found, severity
from tests.situations import job, look, snapshot, stock

NOW = "2027-02-03 09:00"
TEN = "2027-02-02 10:00"
RULE = "livestock.leaving"


@pytest.mark.parametrize(
    ("note", "expected"),
    [
        ("We take them to the pond on Friday", Severity.ACT),
        ("Can we release two?", Severity.ACT),
        ("Anna wants to let them go", Severity.ACT),
        ("Set them free!", Severity.ACT),
        ("They go to Ms Reed’s tank", None),
        ("The heater responds again", None),
        ("", None),
    ],
)
def test_words_about_letting_go(note: str, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, look(TEN, note=note)), RULE) is expected
    assert severity(snapshot(NOW, job(JobKind.OTHER, TEN, note=note)), RULE) is expected


def test_a_grown_up_answers_it_and_a_child_does_not() -> None:
    asked = look(TEN, note="to the pond?")
    answer = "They stay here."
    child, adult = (look(NOW, note=answer, by_adult=by) for by in (False, True))
    assert severity(snapshot(NOW, asked, child), RULE) is Severity.ACT
    assert severity(snapshot(NOW, asked, adult), RULE) is None


def test_where_they_went_answers_it() -> None:
    asked = look(TEN, note="to the pond?")
    left = stock(StockEventKind.LEFT, NOW, 2)
    assert severity(snapshot(NOW, asked, left), RULE) is None
    wrong = stock(StockEventKind.LEFT, NOW, 2, note="in the pond now")
    assert severity(snapshot(NOW, asked, wrong), RULE) is Severity.ACT


def test_closing_with_animals_in_it_asks_and_without_does_not() -> None:
    step = job(JobKind.STEP, TEN, step="closing.homes")
    assert severity(snapshot(NOW, step), RULE) is Severity.ACT
    assert severity(snapshot(NOW, step, groups=()), RULE) is None
    other = job(JobKind.STEP, TEN, step="filling")
    assert severity(snapshot(NOW, other), RULE) is None


def test_the_caution_stands_beside_it() -> None:
    (finding,) = found(snapshot(NOW, look(TEN, note="pond")), RULE)
    assert "leaving" in finding.action.cautions
    assert "Never into a pond" in finding.reason


@pytest.mark.parametrize(
    ("now", "expected"), [("2027-04-03 23:00", Severity.ACT), ("2027-04-04 01:00", None)]
)
def test_notes_are_read_back_sixty_whole_days(now: str, expected: Severity | None) -> None:
    assert severity(snapshot(now, look(TEN, note="pond")), RULE) is expected
