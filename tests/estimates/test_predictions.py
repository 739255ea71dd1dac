"""Sealed guesses: the ways to guess are scored, and few guesses stay unseen."""

from datetime import timedelta

import pytest

from app.domain.forecast import Forecast
from app.domain.prediction import Guess, Round, RoundState
from app.domain.quantities import Quantity
from app.estimates.predictions import Method, guessed, may_be_shown, records, scores
from tests.rules.checks import KNOWLEDGE
from tests.situations import at, reading

OPENED = at("2027-02-08 09:00")
NOON = OPENED + timedelta(hours=3)
MODEL = Forecast(
    id=1, quantity=Quantity.NITRATE, made_at=OPENED, about_at=NOON, low=14.0, best=17.0, high=20.0,
    last=12.0,
)  # fmt: skip


def played(*values: float, measured: float | None = None, **more: object) -> Round:
    """A round with these guesses; the model said 17, last time it was 12."""
    known = {
        "id": 1, "quantity": Quantity.NITRATE, "symbol": "mg/L", "basis": "as nitrate",
        "opened_at": OPENED, "last": 12.0, "forecast": MODEL,
        "reading": None if measured is None else reading(Quantity.NITRATE, measured, NOON),
        "seen_at": None if measured is None else NOON,
        "guesses": tuple(
            Guess(id=n, author_id=n, name=f"Tile {n}", value=value, at=OPENED)
            for n, value in enumerate(values)
        ),
    }  # fmt: skip
    return Round(**{**known, **more})  # type: ignore[arg-type]


def test_the_nearest_way_comes_first() -> None:
    # 18 measured: the middle of 10, 19 and 40 is 19
    found = scores(played(10.0, 40.0, 19.0, measured=18.0), KNOWLEDGE)
    assert [(s.method, s.guess, s.off) for s in found] == [
        (Method.MIDDLE, 19.0, -1.0),
        (Method.MODEL, 17.0, 1.0),
        (Method.LAST, 12.0, 6.0),
    ]


def test_nothing_is_scored_before_the_test() -> None:
    assert scores(played(10.0, 40.0, 19.0), KNOWLEDGE) == ()


def test_two_guesses_are_not_shown_and_have_no_middle() -> None:
    few = played(10.0, 40.0, measured=18.0)
    assert not may_be_shown(few, KNOWLEDGE)
    assert may_be_shown(played(10.0, 40.0, 19.0), KNOWLEDGE)
    assert [method for method, _ in guessed(few, KNOWLEDGE)] == [Method.MODEL, Method.LAST]


def test_a_tank_without_a_forecast_or_a_last_test_leaves_those_out() -> None:
    alone = played(10.0, 12.0, 14.0, forecast=None, last=None)
    assert guessed(alone, KNOWLEDGE) == ((Method.MIDDLE, 12.0),)


def test_ways_are_compared_over_rounds_in_which_all_could_tell() -> None:
    rounds = [
        played(18.0, 18.0, 18.0, measured=18.0),
        played(14.0, 14.0, 14.0, measured=18.0),
        played(99.0, measured=18.0),
        played(18.0, 18.0, 18.0),
    ]
    # the middle is off by 0 and 4, the model by 1 and 1, last time by 6 and 6
    assert [(r.method, r.rounds, r.error) for r in records(rounds, KNOWLEDGE)] == [
        (Method.MIDDLE, 2, 2.0),
        (Method.MODEL, 2, 1.0),
        (Method.LAST, 2, 6.0),
    ]
    assert records(rounds[2:], KNOWLEDGE) == ()


@pytest.mark.parametrize(
    ("more", "state"),
    [
        ({}, RoundState.OPEN),
        ({"closes_at": NOON}, RoundState.SEALED),
        ({"closes_at": NOON + timedelta(minutes=1)}, RoundState.OPEN),
        # a test that was taken back has been seen all the same
        ({"seen_at": NOON}, RoundState.SEALED),
        ({"measured": 18.0}, RoundState.MEASURED),
        ({"measured": 18.0, "ended_at": OPENED}, RoundState.ENDED),
    ],
)
def test_how_far_a_round_has_come(more: dict[str, object], state: RoundState) -> None:
    assert played(**more).state(NOON) is state  # type: ignore[arg-type]
