"""Ammonia: the harmful part computed from total ammonia, pH and warmth, with what it could be.

Decisions. The total-ammonia column counts only when the whole reading reaches it: a card's
reading must lie above the edge with its lower neighbor too, or a second test must agree. From
0.5 mg/L on it asks for a water change wherever animals live, as is common practice while a
filter grows with them; its lower edge counts only once the filter has grown up. From 0.10 mg/L
on the harmful part asks for help now, although some guides act later: the more cautious value
for the animals.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, degrees, reading_text, short, with_unit
from app.knowledge.model import Knowledge
from app.rules.freshness import is_mature
from app.rules.look import READ_WARMTH
from app.rules.maturing import is_fed_without_animals
from app.rules.model import Finding, Rule, Severity, WorkingLine
from app.rules.showing import deciding, limit, most_known, of_reading, remark, worst
from app.rules.testing import change_or_retest, retest
from app.science.ammonia import pka, unionized_fraction, unionized_mg_per_l, unionized_range


@dataclass(frozen=True, slots=True)
class Companion:
    """A pH or temperature that goes with an ammonia test; `reading` None: assumed."""

    best: float
    low: float
    high: float
    reading: Reading | None
    assumed: bool


@dataclass(frozen=True, slots=True)
class FreeAmmonia:
    """What an ammonia test means; amounts of the harmful part in mg/L as N."""

    test: Reading
    ph: Companion
    warmth: Companion
    best: float
    low: float
    high: float
    severity: Severity
    by_total: bool

    @property
    def assumed(self) -> bool:
        """Whether pH or temperature had to be assumed."""
        return self.ph.assumed or self.warmth.assumed


def free_ammonia(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The harmful part of the ammonia is high, or could be, or the filter lags.

    What: the best guess decides by bands (0.005 watch, 0.02 act, 0.10 now); what it could be at
        most raises watch, where it reaches act. Missing pH or temperature: 8.0 and 26 °C, said
        so, act at most. The total alone: 0.25 watch with a grown filter, 0.5 act. Not where it
        was added to a tank without animals.
    Why: the same color on the card harms six times as much at pH 8.2 as at 7.4.
    Source: Emerson and others 1975 for the share; bands of `knowledge/water.toml`.
    Bad: total 1.0, pH 8.2, 25 °C: 0.082. Good: total 0.25, pH 7.0, 25 °C: 0.001, twice.
    """
    if is_fed_without_animals(snapshot, knowledge):
        return ()
    tests = snapshot.of(Quantity.AMMONIA)
    newest, severity = worst(tests, lambda r: judge(r, snapshot, knowledge).severity)
    if newest is None:
        return ()
    if severity is Severity.INFO:
        return _one_more(snapshot, tests, knowledge)
    judged = judge(newest, snapshot, knowledge)
    found = [_finding(judged, snapshot, knowledge)]
    if judged.assumed:
        found.append(_ask_for_missing(judged, snapshot, knowledge))
    return tuple(found)


def judge(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> FreeAmmonia:
    """The harmful part behind one test, with its range and the severity it gives."""
    ph = _companion(
        snapshot,
        Quantity.PH,
        test,
        timedelta(days=knowledge.value("keeps.ph-days")),
        knowledge.value("ammonia.assumed-ph"),
    )
    warmth = _companion(
        snapshot,
        Quantity.TEMPERATURE,
        test,
        timedelta(hours=knowledge.value("ammonia.temperature-hours")),
        knowledge.value("ammonia.assumed-temperature"),
    )
    best = unionized_mg_per_l(test.best, ph.best, warmth.best)
    low, high = unionized_range(
        test.least, most_known(test), ph.low, ph.high, warmth.low, warmth.high
    )
    by_bands = _by_bands(best, high, test, ph, knowledge)
    if ph.assumed or warmth.assumed:
        by_bands = min(by_bands, Severity.ACT)
    by_total = _by_total(test, snapshot, knowledge)
    return FreeAmmonia(
        test=test,
        ph=ph,
        warmth=warmth,
        best=best,
        low=low,
        high=high,
        severity=max(by_bands, by_total),
        by_total=by_total > by_bands,
    )


def _companion(
    snapshot: TankSnapshot, quantity: Quantity, test: Reading, within: timedelta, assumed: float
) -> Companion:
    """The reading nearest in time; a doubtful kit may raise what is assumed, never lower it."""
    near = snapshot.between(quantity, test.at - within, test.at + within)
    if not near:
        return Companion(assumed, assumed, assumed, None, assumed=True)
    reading = min(near, key=lambda r: (r.entry_id != test.entry_id, abs(r.at - test.at), r.at))
    top = 14.0 if quantity is Quantity.PH else 50.0
    most = top if reading.most is None else min(reading.most, top)
    if reading.kit_doubtful:
        best = max(reading.best, assumed)
        return Companion(best, min(reading.least, best), max(most, best), reading, assumed=True)
    return Companion(reading.best, reading.least, most, reading, assumed=False)


def _by_bands(
    best: float, high: float, test: Reading, ph: Companion, knowledge: Knowledge
) -> Severity:
    if best >= knowledge.value("ammonia.free-emergency"):
        return Severity.EMERGENCY
    much = test.best >= knowledge.value("ammonia.total-emergency")
    if much and ph.best >= knowledge.value("ammonia.emergency-ph"):
        return Severity.EMERGENCY
    act = knowledge.value("ammonia.free-act")
    if best >= act:
        return Severity.ACT
    if best >= knowledge.value("ammonia.free-watch") or high >= act:
        return Severity.WATCH
    return Severity.INFO


def _by_total(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> Severity:
    """What the total alone says; its lower edge speaks only of a grown filter."""
    grown = is_mature(snapshot.tank, snapshot.today)
    edges = []
    if grown or snapshot.expected_fish:
        edges.append((Severity.ACT, "ammonia.total-act"))
    if grown:
        edges.append((Severity.WATCH, "ammonia.total-watch"))
    for severity, key in edges:
        edge = knowledge.value(key)
        whole = test.best >= edge if test.low is None else test.least > edge
        if whole or (test.best >= edge and _second_agrees(test, edge, snapshot, knowledge)):
            return severity
    return Severity.INFO


def _second_agrees(
    test: Reading, edge: float, snapshot: TankSnapshot, knowledge: Knowledge
) -> bool:
    within = timedelta(hours=knowledge.value("ammonia.agree-hours"))
    return any(
        r.id != test.id and r.best >= edge and abs(r.at - test.at) <= within
        for r in snapshot.of(Quantity.AMMONIA)
    )


def _finding(judged: FreeAmmonia, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    severity, test = judged.severity, judged.test
    pressing = severity >= Severity.ACT
    share = knowledge.value("change.most" if severity is Severity.EMERGENCY else "change.least")
    return Finding(
        rule_id="water.ammonia",
        severity=severity,
        action=(
            change_or_retest(snapshot, test, share / 100.0, knowledge)
            if pressing
            else retest(Quantity.AMMONIA)
        ),
        reason=_reason(judged, snapshot, knowledge),
        child_reason=(
            "The part that hurts is high. Get a grown-up."
            if pressing
            else "The waste may be rising. Test once more."
        ),
        due_at=test.at,
        clears_when="Two ammonia tests in a row are good, with a kit in date.",
        counterfactual=_counterfactual(judged, knowledge),
        evidence=tuple(
            of_reading(r, snapshot)
            for r in (test, judged.ph.reading, judged.warmth.reading)
            if r is not None
        ),
        working=_working(judged, snapshot),
        limits=(
            limit(knowledge, "ammonia.free-watch", "Harmful part, Watch from"),
            limit(knowledge, "ammonia.free-act", "Harmful part, Act from"),
            limit(knowledge, "ammonia.free-emergency", "Harmful part, Act now from"),
            limit(knowledge, "ammonia.total-watch", "Total, grown filter, Watch from"),
            limit(knowledge, "ammonia.total-act", "Total, Act from"),
            limit(knowledge, "ammonia.total-emergency", "Total at a high pH, Act now from"),
            limit(knowledge, "ammonia.emergency-ph", "A high pH is from"),
        ),
        quantity=Quantity.AMMONIA,
        certain=not judged.assumed,
    )


def _reason(judged: FreeAmmonia, snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    parts = [f"The harmful part of the ammonia is {range_text(judged)}."]
    if judged.by_total:
        total = reading_text(judged.test, snapshot.site)
        parts = [f"Total ammonia is {total}: the filter does not keep up."]
    if judged.ph.assumed:
        parts.append(f"pH {decimal(judged.ph.best, 1)} is assumed: nobody knows it.")
    if judged.warmth.assumed:
        warmth = degrees(snapshot.site, judged.warmth.best)
        parts.append(f"{warmth} is assumed: nobody read the thermometer.")
    if judged.severity >= Severity.ACT:
        parts.append("More air.")
    if judged.severity is Severity.EMERGENCY:
        most = with_unit(short(knowledge.value("change.most")), "%")
        parts.append(f"At most {most} at once; the next change after six to eight hours.")
    return " ".join(parts)


def range_text(judged: FreeAmmonia) -> str:
    """The harmful part in words: one number, or between two with a best guess."""
    best = decimal(judged.best, 3)
    if judged.high == float("inf"):
        return f"{decimal(judged.low, 3)} mg/L or more".replace(" mg", "\u00a0mg")
    if decimal(judged.low, 3) == decimal(judged.high, 3):
        return f"about {with_unit(best, 'mg/L')}"
    high = with_unit(decimal(judged.high, 3), "mg/L")
    return f"between {decimal(judged.low, 3)} and {high}, best guess {best}"


def _working(judged: FreeAmmonia, snapshot: TankSnapshot) -> tuple[WorkingLine, ...]:
    ph, warmth = judged.ph.best, judged.warmth.best
    share = unionized_fraction(ph, warmth)
    percent = with_unit(decimal(share * 100, 2), "%")
    lines = [
        remark(
            f"The share that harms, at pH {decimal(ph, 1)} and {degrees(snapshot.site, warmth)}"
        ),
        WorkingLine(f"1 ÷ (1 + 10^({decimal(pka(warmth), 2)} − {decimal(ph, 1)})) =", percent),
        remark("The harmful part"),
        WorkingLine(
            f"{short(judged.test.best)} × {percent} =", with_unit(decimal(judged.best, 3), "mg/L")
        ),
    ]
    if decimal(judged.low, 3) != decimal(judged.high, 3):
        lines += [
            remark("From the lowest to the highest it could be"),
            WorkingLine(f"{range_text(judged)}"),
        ]
    return tuple(lines)


def _counterfactual(judged: FreeAmmonia, knowledge: Knowledge) -> str:
    free = with_unit(short(knowledge.value("ammonia.free-watch")), "mg/L")
    if judged.by_total:
        total = with_unit(short(knowledge.value("ammonia.total-watch")), "mg/L")
        return f"With total ammonia below {total} this would not be here."
    return f"With a harmful part below {free} this would not be here."


def _ask_for_missing(judged: FreeAmmonia, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    missing_ph = judged.ph.assumed
    what = "pH" if missing_ph else "the temperature"
    key = "ammonia.assumed-ph" if missing_ph else "ammonia.assumed-temperature"
    return Finding(
        rule_id="water.ammonia",
        severity=Severity.WATCH,
        action=retest(Quantity.PH) if missing_ph else READ_WARMTH,
        reason=f"Without {what} nobody knows how much of the ammonia harms.",
        child_reason="One more number is missing.",
        due_at=judged.test.at,
        clears_when=f"Somebody measures {what}, and ammonia with it.",
        counterfactual=f"With {what} measured this would not be here.",
        evidence=(of_reading(judged.test, snapshot),),
        limits=(limit(knowledge, key, "Assumed"),),
        quantity=Quantity.PH if missing_ph else Quantity.TEMPERATURE,
    )


def _one_more(
    snapshot: TankSnapshot, tests: tuple[Reading, ...], knowledge: Knowledge
) -> tuple[Finding, ...]:
    """After a test that was not good, one good test is not yet enough."""
    earlier = tests[: -len(deciding(tests))]
    before, severity = worst(earlier, lambda r: judge(r, snapshot, knowledge).severity)
    if before is None or severity is Severity.INFO:
        return ()
    return (
        Finding(
            rule_id="water.ammonia",
            severity=Severity.WATCH,
            action=retest(Quantity.AMMONIA),
            reason="The last ammonia test was good, the one before was not. One more tells.",
            child_reason="One test was good. Test once more.",
            due_at=tests[-1].at,
            clears_when="Two ammonia tests in a row are good, with a kit in date.",
            counterfactual="With two good tests in a row this would not be here.",
            evidence=(of_reading(before, snapshot), of_reading(tests[-1], snapshot)),
            limits=(limit(knowledge, "ammonia.free-watch", "Harmful part, Watch from"),),
            quantity=Quantity.AMMONIA,
        ),
    )


RULES: Final = (
    Rule(
        id="water.ammonia",
        title="Harmful part of ammonia",
        why="It hurts gills, and grows with pH and warmth.",
        limits=(
            "ammonia.free-watch",
            "ammonia.free-act",
            "ammonia.free-emergency",
            "ammonia.total-watch",
            "ammonia.total-act",
            "ammonia.total-emergency",
            "ammonia.emergency-ph",
            "ammonia.assumed-ph",
            "ammonia.assumed-temperature",
            "ammonia.agree-hours",
            "ammonia.temperature-hours",
            "keeps.ph-days",
            "change.least",
            "change.most",
            "change.counts",
        ),
        check=free_ammonia,
        lesson="Fish waste turns into a gas that stings gills.",
    ),
)
