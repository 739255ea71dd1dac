"""The next readings: what is expected of each, what did not fit, which test tells most."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.quantities import FACTS
from app.domain.tank import Site
from app.domain.wording import in_sentence, range_text, reading_text, short, when_text
from app.estimates.next_tests import NextTest, narrowing_words
from app.estimates.twin import Fit
from app.knowledge.load import load
from app.knowledge.model import Caution
from app.services import words
from app.services.ahead.next_tests import Row, next_readings, sums_of
from app.services.workings.model import Sum
from app.web.ahead import bp
from app.web.request import now
from app.web.writing.desk import at_desk

_FITS = {
    Fit.FITS: "It fits.",
    Fit.MORE: "It does not add up: more than expected.",
    Fit.LESS: "It does not add up: less than expected.",
}


_NUMBERS = {
    "days": "twin.days",
    "off": "twin.off",
    "least": "twin.least-readings",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShown:
    """One quantity in words. `last`, `was` and `fit` tell of the last reading; "" for none."""

    label: str
    expected: str
    way: str
    last: str
    was: str
    fit: str
    adds_up: bool
    causes: tuple[str, ...]
    useful: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestShown:
    """One test and what it would narrow, in sentences."""

    quantity: str
    title: str
    narrows: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTestsPage:
    """What the page shows; `numbers` and `source` are those of the explanation."""

    best: str
    tests: tuple[TestShown, ...]
    rows: tuple[RowShown, ...]
    sums: tuple[Sum, ...]
    numbers: Mapping[str, str]
    source: str
    caution: Caution

    @property
    def odd(self) -> tuple[RowShown, ...]:
        """The rows that do not add up."""
        return tuple(row for row in self.rows if not row.adds_up)


@bp.get("/tank/<int:tank_id>/ahead/next-tests")
def next_tests(tank_id: int) -> ResponseReturnValue:
    """The next readings of one tank."""
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    found = next_readings(snapshot, knowledge)
    (caution,) = words.cautions(("test_kits",))
    page = NextTestsPage(
        best=found.best,
        tests=tuple(_test(each) for each in found.tests),
        rows=tuple(_row(row, snapshot.site, now()) for row in found.rows),
        sums=sums_of(snapshot, knowledge),
        numbers={name: short(knowledge.value(key)) for name, key in _NUMBERS.items()},
        source=knowledge.sources[knowledge.numbers["twin.spreads"].source].title,
        caution=caution,
    )
    return render_template("ahead/next_tests.html", tank_id=tank_id, page=page)


def _row(row: Row, site: Site, moment: datetime) -> RowShown:
    expected, found = row.expected, row.compared
    last = was = fit = ""
    if found is not None:
        seen = found.expected
        last = (
            f"{reading_text(found.reading, site)}, {when_text(found.reading.at, site.zone, moment)}"
        )
        was = range_text(row.quantity, seen.low, seen.high, site)
        fit = _FITS[found.fit]
    return RowShown(
        label=FACTS[row.quantity].label,
        expected=range_text(row.quantity, expected.low, expected.high, site) if expected else "",
        way=expected.way.value if expected else "",
        last=last,
        was=was,
        fit=fit,
        adds_up=found is None or found.fit is Fit.FITS,
        causes=tuple(f"{cause.what} {cause.written}".strip() for cause in row.causes),
        useful=row.useful,
    )


def _test(test: NextTest) -> TestShown:
    narrows = [f"It would narrow {narrowing_words(each)}." for each in test.narrows]
    if test.stale:
        narrows.insert(0, "No test of it counts any more.")
    label = in_sentence(FACTS[test.quantity].label)
    return TestShown(quantity=test.quantity.value, title=f"Test {label}", narrows=tuple(narrows))
