"""The days that stand in the form of a new link before anybody types: today, or a coming break."""

from datetime import date, timedelta

from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.breaks import stretches_at

Days = tuple[date, date]
"""First and last local day, both included."""


def family_days(today: date, knowledge: Knowledge) -> Days:
    """For a family's link: from today on, about as long as a school term."""
    return today, _last(today, knowledge.value("sharing.family-days"))


def stay_days(snapshot: TankSnapshot, knowledge: Knowledge) -> Days:
    """For a sitter's link: a break that comes soon, with its weekends; else from today on."""
    today = snapshot.today
    soon = today + timedelta(days=knowledge.value("sharing.month"))
    most = knowledge.value("sharing.longest-stay")
    for stretch in stretches_at(snapshot.site, knowledge):
        last = stretch.first_day + timedelta(days=stretch.days - 1)
        if stretch.first_day <= soon and last >= today:
            first = max(stretch.first_day, today)
            return first, min(last, _last(first, most))
    return today, _last(today, knowledge.value("sharing.stay-days"))


def _last(first: date, days: float) -> date:
    return first + timedelta(days=days - 1)
