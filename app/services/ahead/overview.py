"""The questions of Look ahead, each with its present answer in one sentence."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from app.domain.snapshot import TankSnapshot
from app.estimates.nitrate_forecast import forecast
from app.estimates.oxygen import night
from app.estimates.warmth import warmth
from app.knowledge.model import Knowledge
from app.services.ahead import closure, detective, ledger, outage, predictions
from app.services.ahead.next_tests import best_next_test


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One page of Look ahead: `endpoint` opens it, `answer` says it in a sentence."""

    endpoint: str
    title: str
    question: str
    answer: Callable[[TankSnapshot, Knowledge], str]


QUESTIONS: Final = (
    Question(
        endpoint="ahead.nitrate",
        title="Nitrate",
        question="When is the next water change due, and how large must it be?",
        answer=lambda snapshot, knowledge: forecast(snapshot, knowledge).crossing.sentence,
    ),
    Question(
        endpoint="ahead.oxygen",
        title="Oxygen by night",
        question="How low does oxygen fall while the lamp is off?",
        answer=lambda snapshot, knowledge: night(snapshot, knowledge).estimate.sentence,
    ),
    Question(
        endpoint="ahead.outage_coach",
        title="When something stops",
        question="How long does the tank last without power, filter or heater?",
        answer=outage.answer,
    ),
    Question(
        endpoint="ahead.warmth",
        title="Warmth",
        question="Is the heater large enough, and what does a cover save?",
        answer=lambda snapshot, knowledge: warmth(snapshot, knowledge).holding.sentence,
    ),
    Question(
        endpoint="ahead.closure",
        title="A break rehearsed",
        question="What would fail while nobody is there?",
        answer=closure.answer,
    ),
    Question(
        endpoint="ahead.forecasts",
        title="Forecasts and what came",
        question="Did the water come out as it was expected?",
        answer=ledger.answer,
    ),
    Question(
        endpoint="ahead.predictions",
        title="Sealed guesses",
        question="Who comes nearest to the next test: all of us, the program, or “the same”?",
        answer=predictions.answer,
    ),
    Question(
        endpoint="ahead.next_tests",
        title="Next readings",
        question="What should the next tests show, and which one tells most?",
        answer=best_next_test,
    ),
    Question(
        endpoint="ahead.what_changed_before",
        title="What changed before",
        question="What came before a problem, and how often did the same come calmly?",
        answer=detective.answer,
    ),
)
