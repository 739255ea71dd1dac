"""An estimate as a page shows it: its range, and what it rests on, in the household’s units."""

from dataclasses import dataclass
from datetime import datetime

from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    decimal,
    degrees,
    degrees_apart,
    hour_text,
    when_text,
    with_unit,
)
from app.estimates.model import CLOCK, Estimate, Input, Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class InputShown:
    """One row of the table of inputs; `assumed` is drawn with dots."""

    title: str
    value: str
    origin: str
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateShown:
    """An estimate in words.

    `value` and `between` are "" where nothing could be estimated, `between` also without a range.
    """

    what: str
    value: str
    between: str
    sentence: str
    inputs: tuple[InputShown, ...]
    missing: tuple[str, ...]
    narrows_most: str


def shown(estimate: Estimate, site: Site, now: datetime) -> EstimateShown:
    """An estimate with no more digits than it deserves."""
    value = between = ""
    if estimate.known:
        low, value, high = (
            _number(each, estimate, site) for each in (estimate.low, estimate.best, estimate.high)
        )
        between = "" if low == high else f"{low.partition(NBSP)[0]} to {high}"
    return EstimateShown(
        what=estimate.what,
        value=value,
        between=between,
        sentence=estimate.sentence,
        inputs=tuple(input_shown(each, site, now) for each in estimate.inputs),
        missing=estimate.missing,
        narrows_most=estimate.narrows_most,
    )


def input_shown(given: Input, site: Site, now: datetime) -> InputShown:
    """An input with its range, and where it comes from."""
    origin = given.origin.value
    if given.at is not None:
        origin += f", {when_text(given.at, site.zone, now)}"
    if given.note:
        origin += f". {given.note}"
    return InputShown(
        title=given.title,
        value=_value(given, site),
        origin=origin[:1].upper() + origin[1:],
        assumed=given.origin is Origin.ASSUMED,
    )


def _number(value: float, estimate: Estimate, site: Site) -> str:
    if value == float("inf"):
        return "never"
    if estimate.unit == "°C":
        return degrees(site, value)
    return with_unit(decimal(value, estimate.decimals), estimate.unit)


def _value(given: Input, site: Site) -> str:
    if given.unit == "°C":
        if given.is_exact:
            return degrees(site, given.best)
        return f"{degrees(site, given.low)} to {degrees(site, given.high)}"
    if given.unit == "K":
        low, best, high = (degrees_apart(site, v) for v in (given.low, given.best, given.high))
        return best if given.is_exact else f"{best} ({low.partition(NBSP)[0]} to {high})"
    if given.unit == CLOCK:
        return hour_text(given.best)
    best = with_unit(decimal(given.best, given.decimals), given.unit)
    if given.is_exact:
        return best
    ends = f"{decimal(given.low, given.decimals)} to {decimal(given.high, given.decimals)}"
    return f"{best} ({ends})"
