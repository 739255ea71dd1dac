"""What is expected after the record: how it is drawn, and that words and table hold the same."""

from datetime import timedelta
from itertools import pairwise

import pytest

from app.charts.describe import describe
from app.charts.trend import NOT_AVAILABLE, draw
from app.domain.series import Ahead
from app.estimates.model import NOT_MEASURED

from .picture import of_class, parse, strokes, words
from .situations import local, with_fan


def test_low_and_high_are_dotted_the_best_guess_is_dashed_and_nothing_is_solid() -> None:
    shown = with_fan()
    root = parse(draw(shown, "c1", describe(shown)))

    assert len(of_class(root, "fan", "path")) == 1
    lines = of_class(root, "forecast", "path")
    assert len(lines) == 3
    dashes = [line.get("stroke-dasharray", "").split(",")[0].strip() for line in lines]
    assert all(dashes)
    assert len(set(dashes)) == 2
    assert len(of_class(root, "edge", "path")) == 2


def test_it_begins_at_now_and_ends_at_the_right_edge() -> None:
    shown = with_fan()
    root = parse(draw(shown, "c1", describe(shown)))

    (now,) = strokes(root, "now")
    for line in strokes(root, "forecast"):
        assert line[0][0] == pytest.approx(now[0][0], abs=0.2)
        assert line[-1][0] == pytest.approx(760.0 - 26.0, abs=0.2)
        assert all(a[0] <= b[0] for a, b in pairwise(line))
    # the record ends where now is; what was read lies left of it
    (read,) = strokes(root, "series-1")
    assert read[-1][0] < now[0][0]


def test_low_lies_under_high_on_the_scale_of_the_readings() -> None:
    shown = with_fan()
    low, high, best = strokes(parse(draw(shown, "c1", describe(shown))), "forecast")

    for below, middle, above in zip(low, best, high, strict=True):
        assert above[1] < middle[1] < below[1]


def test_the_picture_its_words_its_key_and_its_table_say_that_nobody_measured() -> None:
    shown = with_fan()
    said = describe(shown)

    assert "not measured" in " ".join(words(parse(draw(shown, "c1", said))))
    assert NOT_MEASURED in said.detail
    assert any(classes.startswith("fan") and NOT_MEASURED in text for classes, text in said.keys)
    assert "On Fri 29 Jan it may be 19 to 35\u00a0mg/L, best guess 25" in said.detail
    assert said.ahead_columns == ("Day", "Low", "Best guess", "High", "Note")
    assert said.ahead_rows[0] == ("Fri 15 Jan", "17", "19", "22", "now")
    assert said.ahead_rows[-1] == ("Fri 29 Jan", "19", "25", "35", "–")


def test_without_it_nothing_speaks_of_it() -> None:
    shown = with_fan(ahead=())
    said = describe(shown)
    picture = draw(shown, "c1", said)

    assert NOT_MEASURED not in f"{said.detail} {said.keys} {picture}"
    assert said.ahead_rows == ()


def test_a_narrow_fan_has_its_words_in_the_key_only() -> None:
    shown = with_fan(start=local(2025, 1, 1, 0))
    said = describe(shown)

    assert not of_class(parse(draw(shown, "c1", said)), "fan-label", "text")
    assert any(NOT_MEASURED in text for _, text in said.keys)


@pytest.mark.parametrize("high", [1e12, float("inf")])
def test_a_number_too_large_to_draw_is_said_and_never_raises(high: float) -> None:
    end = local(2027, 1, 15)
    wild = (Ahead(end, 1.0, 2.0, 3.0), Ahead(end + timedelta(days=7), 1.0, 2.0, high))
    shown = with_fan(ahead=wild)

    assert NOT_AVAILABLE in draw(shown, "c1", describe(shown))
