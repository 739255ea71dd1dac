"""How sure a counted share is."""

import pytest

from app.science.proportion import wilson_interval


def test_few_tries_leave_much_open() -> None:
    few, many = wilson_interval(9, 10), wilson_interval(90, 100)
    assert few[1] - few[0] > 2.5 * (many[1] - many[0])
    assert few[0] < 0.9 < few[1]


@pytest.mark.parametrize("tries", [1, 5, 40])
def test_none_and_all_are_never_certain(tries: int) -> None:
    none, every = wilson_interval(0, tries), wilson_interval(tries, tries)
    assert none[0] == pytest.approx(0.0, abs=1e-12)
    assert every[1] == pytest.approx(1.0, abs=1e-12)
    # hits and misses are told alike
    assert none[1] == pytest.approx(1.0 - every[0])
    assert 0.0 < none[1] < 1.0


@pytest.mark.parametrize(
    ("hits", "tries", "confidence"),
    [(-1, 5, 0.9), (6, 5, 0.9), (0, 0, 0.9), (1, 2, 0.0), (1, 2, 1.0)],
)
def test_what_cannot_be_is_refused(hits: int, tries: int, confidence: float) -> None:
    with pytest.raises(ValueError, match=r"lies between|go from 0"):
        wilson_interval(hits, tries, confidence)
