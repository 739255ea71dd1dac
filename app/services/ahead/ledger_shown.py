"""The ledger of forecasts in words: its rows, how it did, and the adult's working."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from statistics import NormalDist
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Unit
from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    count,
    dated,
    decimal,
    full_day,
    number,
    reading_text,
    value_text,
    with_unit,
)
from app.estimates.model import Input
from app.estimates.score import (
    Scored,
    covered_text,
    skill_text,
    widening_rank,
    widening_text,
)
from app.knowledge.load import load
from app.knowledge.model import Knowledge
from app.services import sites
from app.services.ahead import ledger
from app.services.ahead.ledger import Ledger
from app.services.workings.model import Sum

SOURCES: Final = ("wilson-1927",)
# older forecasts are counted, and not shown
_MOST_LINES: Final = 26
RIGHT: Final = "right, as far as the test tells"


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastLine:
    """One forecast in words; `measured` and `off` are "" where it met no test."""

    id: int
    about: str
    made: str
    expected: str
    measured: str
    outcome: str
    off: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerShown:
    """The ledger of one quantity: sentences, rows with the newest first, and the working."""

    title: str
    sentences: tuple[str, ...]
    lines: tuple[ForecastLine, ...]
    sums: tuple[Sum, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastShown:
    """One forecast with what it rested on and how it was worked out; `site` gives the units."""

    line: ForecastLine
    model: str
    widened: str
    same_as_last: str
    inputs: tuple[Input, ...]
    site: Site


def ledgers_shown(session: Session, tank_id: int, *, now: datetime) -> tuple[LedgerShown, ...]:
    """All ledgers of a tank.

    Raises:
        NotFound: If there is no such tank.
    """
    site = sites.site(session, tank_id)
    return tuple(
        _shown(each, site, now, load()) for each in ledger.ledgers(session, tank_id, now=now)
    )


def forecast_shown(
    session: Session, tank_id: int, forecast_id: int, *, now: datetime
) -> ForecastShown:
    """One forecast.

    Raises:
        NotFound: If the tank has no such forecast.
    """
    scored, inputs = ledger.kept(session, tank_id, forecast_id, now=now)
    site, made = sites.site(session, tank_id), scored.forecast
    return ForecastShown(
        line=_line(scored, site, now),
        model=made.model,
        widened=widening_text(made.factor, load()),
        same_as_last=value_text(made.quantity, made.last, site),
        inputs=inputs,
        site=site,
    )


def off_text(unit: Unit, off: float, decimals: int) -> str:
    """How far a guess was off: "4 mg/L too low"."""
    if not round(unit.from_kept(off) - unit.from_kept(0.0), decimals):
        return RIGHT
    return f"{size_text(unit, abs(off), decimals)} too {'low' if off > 0 else 'high'}"


def size_text(unit: Unit, apart: float, decimals: int) -> str:
    """A difference in a unit, also in one whose zero lies elsewhere."""
    shown = unit.from_kept(apart) - unit.from_kept(0.0)
    return with_unit(number(shown, decimals), unit.symbol)


def _shown(found: Ledger, site: Site, now: datetime, knowledge: Knowledge) -> LedgerShown:
    facts, unit = FACTS[found.quantity], site.unit_of(found.quantity)

    def amount(apart: float) -> str:
        # a mean of several tells one digit more than each of them
        return size_text(unit, apart, facts.decimals + 1)

    return LedgerShown(
        title=facts.label,
        sentences=(
            covered_text(found.skill, knowledge),
            skill_text(found.skill, amount, knowledge),
            widening_text(found.factor, knowledge),
        ),
        lines=tuple(_line(each, site, now) for each in found.lines[:_MOST_LINES]),
        sums=_sums(found, amount, knowledge) if found.skill.met else (),
    )


def _line(scored: Scored, site: Site, now: datetime) -> ForecastLine:
    made, quantity = scored.forecast, scored.forecast.quantity
    low, high = (value_text(quantity, end, site).partition(NBSP)[0] for end in made.ends)
    best = value_text(quantity, made.best, site)
    today = local_day(now, site.zone)
    days = [local_day(moment, site.zone) for moment in (made.about_at, made.made_at)]
    about, made_on = (full_day(d) if d.year == today.year else dated(d) for d in days)
    error = scored.error
    return ForecastLine(
        id=made.id,
        about=about,
        made=made_on,
        expected=f"{best}, could be {low} to {high}",
        measured="" if scored.reading is None else reading_text(scored.reading, site),
        outcome=scored.outcome.value,
        off=""
        if error is None
        else off_text(site.unit_of(quantity), error, FACTS[quantity].decimals),
    )


def _sums(found: Ledger, amount: Callable[[float], str], knowledge: Knowledge) -> tuple[Sum, ...]:
    skill = found.skill
    sure = knowledge.value("ledger.sure") / 100.0
    z = decimal(NormalDist().inv_cdf((1.0 + sure) / 2.0), 3)
    low, high = (decimal(100.0 * end, 0) for end in skill.covered)
    met, share = [s for s in found.lines if s.reading is not None], decimal(skill.share, 3)
    means = (
        ("Mean error of the best guess", skill.error),
        ("Mean error of “the same as last time”", skill.error_of_last),
    )
    return (
        Sum(
            "Share of tests inside the range",
            f"{skill.hits} ÷ {skill.met} =",
            f"{decimal(100.0 * skill.share, 0)}{NBSP}%",
        ),
        Sum(
            "Where the true share could lie, p the share and n the tests",
            f"(p + z² ÷ 2n ± z × √(p × (1 − p) ÷ n + z² ÷ 4n²)) ÷ (1 + z² ÷ n), with p = {share}, "
            f"n = {skill.met}, z = {z}:",
            f"{low} to {high}{NBSP}%",
        ),
        *(
            Sum(what, f"{amount(mean * skill.met)} in all ÷ {skill.met} =", amount(mean))
            for what, mean in means
        ),
        *_widening_sums(found, met, knowledge),
    )


def _widening_sums(found: Ledger, met: list[Scored], knowledge: Knowledge) -> tuple[Sum, ...]:
    """How wide the ranges had to be, test by test, and which of these is taken."""
    stretches = [s.stretch for s in met if s.stretch is not None]
    stretches = sorted(stretches[: int(knowledge.value("ledger.last"))])
    if len(stretches) < knowledge.value("ledger.least"):
        return ()
    rank = widening_rank(len(stretches), knowledge)
    listed = ", ".join(decimal(min(each, 99.0), 1) for each in stretches)
    cover = decimal(knowledge.value("ledger.cover"), 0)
    return (
        Sum(
            "How many times as wide each range, as worked out, had to be to reach its test",
            f"{listed}; {cover}{NBSP}% of {count(len(stretches), 'test', 'tests')} are the first "
            f"{rank}, and a range is never made narrower:",
            f"{decimal(found.factor, 1)} times",
        ),
    )
