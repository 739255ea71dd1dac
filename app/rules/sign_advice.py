"""What one row of the table of signs says."""

from dataclasses import dataclass

from app.domain.records import JobKind, Sign
from app.rules.model import Concern, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class SignAdvice:
    """What a sign asks for.

    `looks` is how many calm looks end it; with `grown_up` only a grown-up's look counts. `key`
    is the task that it shares with others, and `job` the job that ends it too. `child` and
    `lesson` are for pupils.
    """

    sign: Sign
    seen: str
    severity: Severity
    concern: Concern
    title: str
    child: str
    more: str
    lesson: str
    cautions: tuple[str, ...] = ()
    looks: int = 2
    grown_up: bool = False
    key: str = ""
    job: JobKind | None = None
