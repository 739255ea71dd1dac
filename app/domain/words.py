"""An entry in plain words: one title, some lines. Reads the details by their column names."""

from collections.abc import Mapping, Sequence
from typing import Any

from app.domain.quantities import FACTS
from app.domain.records import EntryKind, JobKind, Reading, Sign, StockEventKind

NB = " "

JOB_WORDS: Mapping[JobKind, str] = {
    JobKind.WATER_CHANGE: "Water change",
    JobKind.TOP_UP: "Top-up",
    JobKind.FILTER_RINSE: "Filter rinsed",
    JobKind.GLASS: "Glass wiped",
    JobKind.SIPHON: "Sand siphoned",
    JobKind.TRIM: "Plants trimmed",
    JobKind.EQUIPMENT_CHECK: "Equipment checked",
    JobKind.TREATMENT: "Treatment",
    JobKind.CONDITIONER: "Conditioner added",
    JobKind.LEFTOVERS: "Leftovers taken out",
    JobKind.LIGHT_TIMER: "Light timer seen to",
    JobKind.KIT_CHECK: "Test kit checked",
    JobKind.OTHER: "Other job",
}

SIGN_WORDS: Mapping[Sign, str] = {
    Sign.GASPING: "gasping at the surface",
    Sign.WHITE_SPOTS: "white spots",
    Sign.CLAMPED_FINS: "fins held tight",
    Sign.HIDING: "hiding",
    Sign.WOUNDS: "wounds",
    Sign.CLOUDY: "cloudy water",
    Sign.SMELL: "a smell",
    Sign.FILM: "a film on the water",
    Sign.LEAK: "a leak",
    Sign.TINGLE: "a tingle from the water",
    Sign.DEAD_FISH: "a dead fish",
    Sign.FILTER_SLOW: "filter slow",
    Sign.FILTER_OFF: "filter off",
    Sign.HEATER_OFF: "heater off",
    Sign.OTHER: "something else",
}

STOCK_WORDS: Mapping[StockEventKind, str] = {
    StockEventKind.ARRIVED: "came",
    StockEventKind.BORN: "born",
    StockEventKind.DIED: "died",
    StockEventKind.MISSING: "missing for good",
    StockEventKind.FOUND: "found again",
    StockEventKind.MOVED_IN: "moved in",
    StockEventKind.LEFT: "went to a new home",
    StockEventKind.RECOUNTED: "counted anew",
}


def number(value: float, decimals: int) -> str:
    """A number with at most `decimals` places, without trailing zeros."""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def reading_words(reading: Reading) -> str:
    """A reading with its quantity, unit, basis and, for a card, what it could be."""
    facts = FACTS[reading.quantity]
    return f"{facts.label} {value_words(reading)}"


def value_words(reading: Reading) -> str:
    """The value of a reading with unit and basis."""
    facts = FACTS[reading.quantity]
    tail = f"{NB}{facts.unit}" if facts.unit else ""
    tail += f" ({facts.basis})" if facts.basis else ""
    if reading.lighter_than_first:
        return f"under {number(reading.high or 0.0, facts.decimals)}{tail}"
    if reading.value is None:
        return f"over {number(reading.least, facts.decimals)}{tail}"
    text = f"{number(reading.value, max(facts.decimals, _places(reading)))}{tail}"
    if reading.low is not None and reading.high is not None:
        low, high = (number(v, facts.decimals) for v in (reading.low, reading.high))
        text += f", could be {low} to {high}"
    return text


def _places(reading: Reading) -> int:
    # a card color as 0.25 keeps both places, a temperature typed as 24.95 does too
    typed = reading.typed.replace(",", ".")
    return min(2, len(typed.partition(".")[2])) if typed.count(".") == 1 else 0


def entry_words(
    kind: EntryKind, detail: Any, readings: Sequence[Reading], groups: Mapping[int, str]
) -> tuple[str, tuple[str, ...]]:
    """Title and lines of an entry; `detail` has the columns of its kind's table."""
    measured = tuple(reading_words(r) for r in readings)
    match kind:
        case EntryKind.FEEDING:
            return _meal(detail), measured
        case EntryKind.WATER_TEST:
            return "Water test", measured + _note(detail)
        case EntryKind.LOGGER:
            return f"Logger file, {detail.rows} readings", (detail.file_name,)
        case EntryKind.JOB:
            return _job(detail), measured + _note(detail)
        case EntryKind.STOCK_EVENT:
            return _stock(detail, groups), _note(detail)
        case EntryKind.OBSERVATION:
            return _look(detail, measured)
        case EntryKind.WITHDRAWAL:
            return "Taken back", ()


def _note(detail: Any) -> tuple[str, ...]:
    return (detail.note,) if detail.note else ()


def scoop_words(scoops: float | None, words: str = "") -> str:
    """How much went in: scoops, or the words that were typed."""
    if scoops is None:
        return words or "some food"
    if scoops == 0.5:
        return "half a scoop"
    return f"{number(scoops, 2)} {'scoop' if scoops == 1 else 'scoops'}"


def _meal(detail: Any) -> str:
    grams = f" ({number(detail.grams, 2)}{NB}g)" if detail.grams is not None else ""
    return f"Fed, {scoop_words(detail.scoops, detail.amount_words)}{grams}"


def _job(detail: Any) -> str:
    title = JOB_WORDS[JobKind(detail.job)]
    parts = []
    if detail.liters_out is not None:
        parts.append(f"{number(detail.liters_out, 1)}{NB}L out")
    if detail.liters_in is not None:
        parts.append(f"{number(detail.liters_in, 1)}{NB}L in")
    if detail.new_water_c is not None:
        parts.append(f"new water {number(detail.new_water_c, 1)}{NB}°C")
    if detail.treated == "yes":
        parts.append("with conditioner")
    elif detail.treated == "no":
        parts.append("without conditioner")
    elif detail.treated == "unknown":
        parts.append("conditioner not known")
    if detail.rinse is not None:
        rinse = {"tank": "tank water", "treated": "treated water", "tap": "tap water"}
        parts.append(f"in {rinse[detail.rinse]}")
    return f"{title}: {', '.join(parts)}" if parts else title


def _stock(detail: Any, groups: Mapping[int, str]) -> str:
    name = groups.get(detail.group_id, "animals")
    what = STOCK_WORDS[StockEventKind(detail.what)]
    return f"{detail.count} {name} {what}"


def _look(detail: Any, measured: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    if detail.seen is None:
        title = "Looked at"
    elif detail.expected is None:
        title = f"{detail.seen} seen"
    else:
        title = f"{detail.seen} of {detail.expected} seen"
    ticks = [
        text
        for value, yes, no in (
            (detail.breathing_calm, "breathing calm", "breathing not calm"),
            (detail.lid_closed, "lid closed", "lid open"),
            (detail.plug_on, "plug light on", "plug light off"),
        )
        if value is not None
        for text in [yes if value else no]
    ]
    signs = [SIGN_WORDS[Sign(s)] for s in detail.signs.split()]
    lines = [", ".join(ticks).capitalize()] if ticks else []
    if signs:
        title = "Something odd: " + ", ".join(signs)
    return title, (*lines, *measured, *_note(detail))
