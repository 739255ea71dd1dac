"""What the rules say of a sign, for its page: how urgent it is, and its cautions."""

from typing import Final

from app.domain.records import Sign
from app.knowledge.model import Caution
from app.rules.model import Severity
from app.rules.signs import SIGNS
from app.rules.signs_of_animals import ANIMALS
from app.services import words

ANIMAL_SIGNS: Final = tuple(advice.sign for advice in ANIMALS)
_BY_SIGN: Final = {advice.sign: advice for advice in SIGNS}
# a filter that is off has a rule of its own; on its page it reads as a power cut
_ALIKE: Final = {Sign.FILTER_OFF: Sign.POWER_CUT}


def is_urgent(sign: Sign) -> bool:
    """Whether one acts first and looks after."""
    return _BY_SIGN[_ALIKE.get(sign, sign)].severity >= Severity.ACT


def cautions(sign: Sign) -> tuple[Caution, ...]:
    """What to know before hands get wet."""
    return words.cautions(_BY_SIGN[_ALIKE.get(sign, sign)].cautions)
