"""How sure a share is that was counted: hits of tries."""

import math
from statistics import NormalDist


def wilson_interval(hits: int, tries: int, confidence: float = 0.9) -> tuple[float, float]:
    """The range in which the true share lies, when so many of the tries were hits.

    Args:
        hits: From 0 to `tries`.
        tries: At least 1.
        confidence: How often such ranges hold the true share, between 0 and 1.

    Returns:
        Low and high end, both from 0 to 1; the share that was counted lies between them.

    Raises:
        ValueError: If a number lies outside its range.

    Source:
        Wilson (1927), Probable inference, the law of succession, and statistical inference,
        Journal of the American Statistical Association 22:209-212.
    """
    if not 0 <= hits <= tries or tries < 1:
        raise ValueError("hits go from 0 to the number of tries, which is at least 1")
    if not 0.0 < confidence < 1.0:
        raise ValueError("confidence lies between 0 and 1")
    z = NormalDist().inv_cdf((1.0 + confidence) / 2.0)
    share = hits / tries
    spread = z * math.sqrt(share * (1.0 - share) / tries + (z / (2.0 * tries)) ** 2)
    middle = share + z**2 / (2.0 * tries)
    whole = 1.0 + z**2 / tries
    return max((middle - spread) / whole, 0.0), min((middle + spread) / whole, 1.0)
