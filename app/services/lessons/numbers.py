"""Numbers as pupils work them out: halves are rounded up, and lists are written as sums."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

_MINUS: Final = "\u2212"
_LONGEST: Final = 12
_FLOAT_DUST: Final = 10


def rounded(value: float, decimals: int) -> str:
    """A number with so many decimals, half up as in class; never "-0.0"."""
    text = str(_half_up(value, decimals))
    if not Decimal(text):
        text = text.lstrip("-")
    return text.replace("-", _MINUS)


def half_up(value: float, decimals: int) -> float:
    """A number rounded as it is written, to go on with."""
    return float(_half_up(value, decimals))


def _half_up(value: float, decimals: int) -> Decimal:
    exact = Decimal(repr(round(value, _FLOAT_DUST)))
    return exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def spoken(value: float, most_decimals: int) -> str:
    """A number with at most so many decimals, without zeros at its end."""
    text = rounded(value, most_decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_brackets(value: float, decimals: int) -> str:
    """A number inside a sum; one below zero stands in brackets."""
    text = rounded(value, decimals)
    return f"({text})" if value < 0 else text


def added_up(values: Sequence[float], decimals: int) -> str:
    """Numbers with a plus between them; of a long row only the ends are written out."""
    texts = [in_brackets(value, decimals) for value in values]
    if len(texts) > _LONGEST:
        texts = [*texts[:3], "…", *texts[-2:]]
    return " + ".join(texts)


def in_a_row(values: Sequence[float], decimals: int) -> str:
    """Numbers with commas between them."""
    return ", ".join(rounded(value, decimals) for value in values)
