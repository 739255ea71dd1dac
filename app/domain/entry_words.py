"""An entry in plain words: one title, some lines. Reads the details by their column names."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, JobKind, Reading, Sign, StockEventKind
from app.domain.tank import Site
from app.domain.wording import (
    decimal,
    degrees,
    in_sentence,
    reading_text,
    short,
    value_text,
    water_amount,
    with_unit,
)

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
    JobKind.MEDIA_REPLACED: "Filter media replaced",
    JobKind.OUTLET_TEST: "Outlet tested",
    JobKind.DEEP_CHECK: "Thorough check",
    JobKind.STOCK_REVIEW: "Animals looked over",
    JobKind.CHECKLIST: "Checklist done",
    JobKind.AMMONIA_ADDED: "Ammonia added",
    JobKind.CARBON: "Carbon changed",
    JobKind.PLANTED: "Planted",
    JobKind.PLANT_REMOVED: "Plants taken out",
    JobKind.STEP: "Step done",
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
    Sign.RUBBING: "rubbing or jumping",
    Sign.TUFTS: "tufts like cotton or sores",
    Sign.SWOLLEN: "swollen",
    Sign.THIN: "very thin",
    Sign.LYING: "lying or rolling",
    Sign.GREEN_WATER: "green water",
    Sign.BROWN_DUST: "brown dust",
    Sign.HAIR_ALGAE: "hair-like algae",
    Sign.SNAILS: "many snails",
    Sign.FRY: "baby fish",
    Sign.POWER_CUT: "power out",
    Sign.OTHER: "something else",
}
# how much algae was seen, by step
ALGAE_WORDS = {0: "no algae", 1: "a little", 2: "much", 3: "everywhere"}

STOCK_WORDS: Mapping[StockEventKind, str] = {
    StockEventKind.ARRIVED: "came",
    StockEventKind.BORN: "born",
    StockEventKind.DIED: "died",
    StockEventKind.MISSING: "missing for good",
    StockEventKind.FOUND: "found again",
    StockEventKind.MOVED_IN: "moved in",
    StockEventKind.MOVED_OUT: "moved to another tank",
    StockEventKind.MEASURED: "measured",
    StockEventKind.LEFT: "went to a new home",
    StockEventKind.RECOUNTED: "counted anew",
}


def entry_words(
    kind: EntryKind,
    detail: Any,
    readings: Sequence[Reading],
    *,
    groups: Mapping[int, str],
    site: Site,
    untold: int = 0,
    steps: Mapping[str, str] = MappingProxyType({}),
) -> tuple[str, tuple[str, ...]]:
    """Title and lines of an entry; `detail` has the columns of its kind's table.

    `untold` is how many losses the reader was not told of: they are still expected at a look.
    `steps` are the titles of steps by their keys.
    """
    measured = tuple(f"{FACTS[r.quantity].label} {reading_text(r, site)}" for r in readings)
    match kind:
        case EntryKind.FEEDING:
            return _meal(detail), measured
        case EntryKind.WATER_TEST:
            return "Water test", measured + _note(detail)
        case EntryKind.LOGGER:
            return f"Logger file, {detail.rows} readings", (detail.file_name,)
        case EntryKind.JOB:
            return _job(detail, site, steps), measured + _note(detail)
        case EntryKind.STOCK_EVENT:
            return _stock(detail, groups), _note(detail)
        case EntryKind.OBSERVATION:
            return _look(detail, measured, untold)
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
    return f"{short(scoops)} {'scoop' if scoops == 1 else 'scoops'}"


def _meal(detail: Any) -> str:
    grams = f" ({with_unit(decimal(detail.grams, 2), 'g')})" if detail.grams is not None else ""
    return f"Fed, {scoop_words(detail.scoops, detail.amount_words)}{grams}"


_TREATED = {
    "yes": "with conditioner",
    "no": "without conditioner",
    "unknown": "conditioner not known",
}
_RINSED = {"tank": "in tank water", "treated": "in treated water", "tap": "in tap water"}


def _job(detail: Any, site: Site, steps: Mapping[str, str]) -> str:
    title = JOB_WORDS[JobKind(detail.job)]
    if detail.step in steps:
        return f"{title}: {in_sentence(steps[detail.step])}"
    parts = [
        f"{water_amount(site, liters)} {way}"
        for liters, way in ((detail.liters_out, "out"), (detail.liters_in, "in"))
        if liters is not None
    ]
    if detail.new_water_c is not None:
        parts.append(f"new water {degrees(site, detail.new_water_c)}")
    parts += [_TREATED[detail.treated]] if detail.treated else []
    parts += [_RINSED[detail.rinse]] if detail.rinse else []
    if detail.grams is not None:
        parts.append(f"{with_unit(short(detail.grams), 'g')} fresh")
    if detail.mg_per_l is not None:
        parts.append(f"up to {value_text(Quantity.AMMONIA, detail.mg_per_l, site)}")
    return f"{title}: {', '.join(parts)}" if parts else title


def _stock(detail: Any, groups: Mapping[int, str]) -> str:
    name = groups.get(detail.group_id, "animals")
    what = STOCK_WORDS[StockEventKind(detail.what)]
    return f"{detail.count} {name} {what}"


def _look(detail: Any, measured: tuple[str, ...], untold: int) -> tuple[str, tuple[str, ...]]:
    if not detail.is_look:
        return "Note", _note(detail)
    if detail.seen is None:
        title = "Looked at"
    elif detail.expected is None:
        title = f"{detail.seen} seen"
    else:
        title = f"{detail.seen} of {detail.expected + untold} seen"
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
        lines = lines if detail.seen is None else [title, *lines]
        title = "Something odd: " + ", ".join(signs)
    return title, (*lines, *measured, *_note(detail))
