"""The fields of ranges, in the unit that a place reads: of one tank, and of a template."""

from collections.abc import Callable
from typing import Any, Final

from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.tank import Range, Site
from app.web.fields import NumberField, PageForm, plain, with_fields

RANGED: Final = (
    Quantity.TEMPERATURE,
    Quantity.PH,
    Quantity.NITRATE,
    Quantity.KH,
    Quantity.GH,
    Quantity.OXYGEN,
)


def range_form(site: Site, range_of: Callable[[Quantity], Range | None]) -> Any:
    """The form with two fields a quantity, filled with what `range_of` knows."""
    fields: dict[str, Any] = {}
    data: dict[str, str] = {}
    for quantity in RANGED:
        facts, unit, known = FACTS[quantity], site.unit_of(quantity), range_of(quantity)
        low, high = (unit.from_kept(limit) for limit in facts.impossible)
        for end in ("low", "high"):
            name = f"{quantity.value}_{end}"
            label = f"{facts.label}, {'from' if end == 'low' else 'to'}"
            fields[name] = NumberField(label, noun=f"the {end} end", low=low, high=high)
            kept = getattr(known, end) if known else None
            data[name] = plain(None if kept is None else round(unit.from_kept(kept), 3))
    return with_fields(PageForm, "RangeForm", fields)(data=data)


def typed_ranges(form: Any, site: Site) -> tuple[Range, ...] | None:
    """What was typed, in kept units, one a quantity; None with sentences beside the fields."""
    form.validate()
    found = []
    for quantity in RANGED:
        low, high = (form[f"{quantity.value}_{end}"].number for end in ("low", "high"))
        if low is not None and high is not None and low >= high:
            form.complain(f"{quantity.value}_high", "This end must lie above the other.")
        unit = site.unit_of(quantity)
        ends = [None if end is None else unit.to_kept(end) for end in (low, high)]
        found.append(Range(quantity=quantity, low=ends[0], high=ends[1]))
    return None if form.errors else tuple(found)


def unit_words(unit: Unit) -> str:
    """A unit with its basis: "mg/L as N"."""
    return f"{unit.symbol} {unit.basis}".strip()


def ends_text(low: float | None, high: float | None, unit: Unit) -> str:
    """The ends of a range in the unit that is shown: "23 to 26 °C", "up to 40 mg/L"."""
    ends = [plain(round(unit.from_kept(e), 2)) for e in (low, high) if e is not None]
    if not ends:
        return "no range"
    text = " to ".join(ends)
    if len(ends) == 1:
        text = ("from " if high is None else "up to ") + ends[0]
    return f"{text} {unit_words(unit)}".strip()
