"""What the templates of this folder get."""

from dataclasses import dataclass

from flask import url_for

from app.domain.quantities import FACTS, Quantity
from app.services.trends import Chart
from app.web.rights import may_open

SPANS: dict[str, int | None] = {"7": 7, "30": 30, "90": 90, "365": 365, "all": None}
_SPAN_LABELS = {
    "7": "7 days", "30": "30 days", "90": "90 days", "365": "a year", "all": "the whole record",
}  # fmt: skip
FIRST_SPAN = "30"


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to draw it."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPage:
    """One chart with its words and table, and the ways to draw another.

    `lesson_url` is "" for whoever makes no lessons.
    """

    choose_url: str
    compare_url: str
    lesson_url: str
    name: str
    unit: str
    what: tuple[Choice, ...]
    days: tuple[Choice, ...]
    svg: str
    finding: str
    detail: str
    keys: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    ahead_columns: tuple[str, ...]
    ahead_rows: tuple[tuple[str, ...], ...]


def chart_page(
    tank_id: int,
    quantity: Quantity,
    days: str,
    *,
    chart: Chart,
    measured: tuple[Quantity, ...],
) -> ChartPage:
    """The page around a finished chart."""
    facts, words = FACTS[quantity], chart.words
    offered = [q for q in Quantity if q in measured or q in {quantity, Quantity.TEMPERATURE}]
    unit = chart.series.unit
    return ChartPage(
        choose_url=url_for("charts.start", tank_id=tank_id),
        compare_url=url_for("charts.compare", tank_id=tank_id),
        lesson_url=url_for("lessons.start", tank_id=tank_id) if may_open("lessons.start") else "",
        name=facts.label,
        unit=f"{unit}, {facts.basis}" if facts.basis else unit,
        what=tuple(Choice(q.value, FACTS[q].label, q is quantity) for q in offered),
        days=tuple(Choice(key, label, key == days) for key, label in _SPAN_LABELS.items()),
        svg=chart.svg,
        finding=words.finding,
        detail=words.detail,
        keys=words.keys,
        columns=words.columns,
        rows=words.rows,
        ahead_columns=words.ahead_columns,
        ahead_rows=words.ahead_rows,
    )
