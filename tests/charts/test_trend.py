"""Charts as situations: what stands in the picture for what was read."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from app.charts.clean import ELEMENTS
from app.charts.describe import describe
from app.charts.frame import TOP
from app.charts.trend import NOT_AVAILABLE, draw
from app.domain.quantities import Quantity
from app.domain.series import Band, Mark, Point, Series, Span

from .picture import of_class, parse, strokes, words
from .situations import card, daily, full, local, logger, nitrate, series


def picture(shown: Series) -> str:
    return draw(shown, "c1", describe(shown))


def test_equal_data_gives_equal_bytes_also_from_many_threads() -> None:
    first = picture(full())
    with ThreadPoolExecutor(4) as pool:
        assert set(pool.map(lambda _: picture(full()), range(8))) == {first}
    assert first != picture(nitrate(card(4, 10, 5, 20)))


def test_no_style_attribute_and_nothing_but_drawing() -> None:
    svg = picture(full())
    assert "style" not in svg
    assert {e.tag for e in parse(svg).iter()} <= ELEMENTS


@pytest.mark.parametrize(
    "name",
    ["<script>alert(1)</script>", "$\\frac{$", "</title></svg><img src=x>", "a\x00\ud800b",
     "🐟" * 50, "&amp;<![CDATA[", '" onload="x'],
)  # fmt: skip
def test_hostile_names_stay_words(name: str) -> None:
    svg = picture(series(
        *daily(24.0, 24.5), tank_name=name, bands=(Band(23, 26, name, name),),
        marks=(Mark(local(2027, 1, 3), "fish", name), Mark(local(2027, 1, 3), name, name)),
        spans=(Span(local(2027, 1, 10), local(2027, 1, 30), "away", name),),
    ))  # fmt: skip
    root = parse(svg)
    assert {e.tag for e in root.iter()} <= ELEMENTS
    assert not any(a.startswith("on") or a == "style" for e in root.iter() for a in e.attrib)
    assert len(of_class(root, "event", "use")) == 1


def test_the_line_breaks_where_nobody_measured() -> None:
    whole = series(*daily(24, 24, 25, 25, 24, 24))
    assert len(strokes(parse(picture(whole)), "series-1")) == 1
    gap = series(*daily(24, 24, 25), *daily(25, 24, 24, first=local(2027, 1, 12)))
    assert [len(s) for s in strokes(parse(picture(gap)), "series-1")] == [3, 3]


def test_the_line_breaks_at_a_new_kit_and_an_upright_line_says_so() -> None:
    points = [*daily(7, 7, 7, kit_id=1), *daily(7, 7, first=local(2027, 1, 5), kit_id=2)]
    root = parse(picture(series(*points, quantity=Quantity.PH, unit="")))
    assert [len(s) for s in strokes(root, "series-1")] == [3, 2]
    assert len(strokes(root, "kit")) == 1
    assert "new kit" in words(root)
    same = parse(picture(series(*daily(7, 7, kit_id=1))))
    assert not strokes(same, "kit")


def test_a_break_of_the_class_breaks_the_line() -> None:
    away = Span(local(2027, 1, 8, 16), local(2027, 1, 11, 7), "away")
    points = [p for p in daily(*[24.0] * 14) if not away.start < p.at < away.end]
    root = parse(picture(series(*points, spans=(away,))))
    assert len(strokes(root, "series-1")) == 2
    assert of_class(root, "away", "path")
    assert "nobody here" in words(parse(picture(full())))


def test_card_readings_are_bars_with_ends_and_no_line() -> None:
    root = parse(picture(nitrate(card(4, 10, 5, 20), card(11, 20, 10, 40))))
    bars = strokes(root, "bars")
    assert len(bars) == 2
    (x, foot), (x_too, head) = bars[0]
    assert x == x_too
    assert foot > head
    assert len(strokes(root, "bar-ends")) == 4
    assert len(of_class(root, "steps", "use")) == 2
    assert not strokes(root, "series-1")


def test_heights_of_a_bar_are_in_proportion_to_what_it_could_be() -> None:
    svg = picture(nitrate(card(4, 10, 5, 20), card(11, 20, 10, 40)))
    (low, high), (low_2, high_2) = ((bar[0][1], bar[1][1]) for bar in strokes(parse(svg), "bars"))
    assert (low_2 - high_2) / (low - high) == pytest.approx(30 / 15, abs=0.01)


def test_the_last_step_of_a_card_is_drawn_open() -> None:
    root = parse(picture(nitrate(card(4, 80, 60, None))))
    ((_, foot), (_, head)) = strokes(root, "bars")[0]
    assert head == TOP  # it leaves through the top
    assert foot > head
    assert len(strokes(root, "open-top")) == 1
    closed = [s for s in strokes(root, "bar-ends") if len(s) == 2]
    assert len(closed) == 1  # only the lower end is known


def test_a_reading_between_two_steps_has_a_bar_and_no_step() -> None:
    root = parse(picture(nitrate(card(4, None, 10, 20))))
    assert len(strokes(root, "bars")) == 1
    assert not of_class(root, "steps", "use")


def test_bands_have_edges_and_a_name() -> None:
    root = parse(picture(series(*daily(24, 25), bands=(Band(23, 26, "our range", "ours"),))))
    assert len(of_class(root, "range", "path")) == 1
    assert len(strokes(root, "limit")) == 3  # both edges and the foot
    assert "our range 26.0" in words(root)
    assert "23.0" in words(root)


def test_events_stand_in_one_row_a_kind() -> None:
    root = parse(picture(full()))
    rows = [e.get("y") for name in ("event", "event-full") for e in of_class(root, name, "use")]
    assert len(rows) == 3
    assert len(set(rows)) == 3
    assert "6 came" in words(root)


def test_now_is_drawn_only_inside_the_chart() -> None:
    inside, after = local(2027, 1, 20), local(2027, 2, 3)
    assert len(strokes(parse(picture(series(*daily(24), now=inside))), "now")) == 1
    assert not strokes(parse(picture(series(*daily(24), now=after))), "now")


def test_a_spike_in_175_000_readings_is_kept_and_the_picture_stays_small() -> None:
    big = picture(logger(spike_at=93_333))
    spike, *others = sorted(y for s in strokes(parse(big), "series-1") for _, y in s)
    assert others[0] - spike > 100  # one point stands far above all others
    small = picture(series(*daily(*[24 + i % 5 / 10 for i in range(90)]), end=local(2027, 4, 3)))
    assert len(big) < 5 * len(small)
    drawn = sum(len(s) for s in strokes(parse(big), "series-1"))
    assert drawn <= 2 * 760


def test_many_card_readings_are_drawn_thin() -> None:
    start = local(2026, 1, 1)
    points = [Point(start + timedelta(days=3 * i), 10, 5, 20, kit_id=1) for i in range(230)]
    root = parse(picture(nitrate(*points, start=start, end=local(2028, 1, 1))))
    assert len(strokes(root, "bars-thin")) == 230


@pytest.mark.parametrize("points", [(), tuple(daily(24.0)), (Point(local(2027, 1, 3), None),)])
def test_nothing_and_one_reading_can_be_drawn(points: tuple[Point, ...]) -> None:
    root = parse(picture(series(*points)))
    there = bool(points) and points[0].value is not None
    assert ("nobody measured" in words(root)) is not there
    assert len(of_class(root, "series-1", "use")) == there


@pytest.mark.parametrize(
    "broken",
    [
        series(Point(local(2027, 1, 3), 1e308)),
        series(Point(local(2027, 1, 3), float("inf"))),
        series(Point(local(2027, 1, 3), 24, -1e300, 1e300)),
        series(*daily(24), start=datetime(1, 1, 1, tzinfo=UTC)),
        series(*daily(24), end=datetime(9999, 12, 31, tzinfo=UTC)),
        series(*daily(24), end=local(2027, 1, 1, 0)),
        series(*daily(24), bands=(Band(0, 1e308, "", ""),)),
        series(*daily(24), marks=(Mark(datetime(1, 1, 1, tzinfo=UTC), "change"),)),
        series(*daily(24), zone="Nowhere/Lost"),
    ],
)
def test_what_no_axis_can_carry_gives_a_plain_picture(broken: Series) -> None:
    svg = picture(broken)
    assert words(parse(svg)) == [NOT_AVAILABLE]
    assert NOT_AVAILABLE in parse(svg).findtext("desc", "")


@pytest.mark.parametrize("quantity", list(Quantity))
def test_every_quantity_can_be_drawn(quantity: Quantity) -> None:
    root = parse(picture(series(*daily(0.0, 7.0, 7.1), quantity=quantity)))
    assert len(of_class(root, "series-1", "use")) == 3


@pytest.mark.parametrize(("start", "hour_of_change"), [((2027, 3, 13), 23), ((2027, 11, 6), 25)])
def test_a_day_with_a_clock_change_is_as_long_as_it_was(
    start: tuple[int, int, int], hour_of_change: int
) -> None:
    first = local(*start, 0)
    shown = series(*daily(24, first=first), start=first, end=first + timedelta(days=3, hours=1))
    ticks = [s[0][0] for s in strokes(parse(picture(shown)), "axis") if s[0][0] == s[-1][0]]
    widths = [b - a for a, b in pairwise(ticks)]
    assert widths[1] / widths[0] == pytest.approx(hour_of_change / 24, abs=0.002)
