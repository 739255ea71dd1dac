"""What was held against the outside, and how far apart the two are: writes the file of it.

Run ``python -m tests.outside.measure`` after an equation, a table or a library changed. The file is
never typed by hand; a test compares it with a fresh computation.
"""

import re
from decimal import Decimal
from pathlib import Path

import app.knowledge
from tests.outside import (
    test_ammonia,
    test_carbonate,
    test_density_pressure,
    test_first_order,
    test_hardness,
    test_heat,
    test_metabolism,
    test_mixing,
    test_nitrogen_units,
    test_oxygen,
    test_oxygen_day,
    test_statistics,
    test_units,
    test_volume,
)
from tests.outside.check import Check, difference, says

FILE = Path(str(app.knowledge.__file__)).parent / "checks.toml"
HEAD = """\
# What the equations were held against, and the largest difference found.
# Written by a program, which computes it all anew; never type here.
"""


CHECKS: tuple[Check, ...] = (
    *test_ammonia.CHECKS,
    *test_nitrogen_units.CHECKS,
    *test_oxygen.CHECKS,
    *test_oxygen_day.CHECKS,
    *test_carbonate.CHECKS,
    *test_hardness.CHECKS,
    *test_units.CHECKS,
    *test_density_pressure.CHECKS,
    *test_volume.CHECKS,
    *test_mixing.CHECKS,
    *test_heat.CHECKS,
    *test_first_order.CHECKS,
    *test_metabolism.CHECKS,
    *test_statistics.CHECKS,
)


def row(check: Check) -> dict[str, str]:
    """One check as the file holds it."""
    apart = difference(check)
    return {
        "what": check.what,
        "against": check.against,
        "range": kept_together(check.range),
        "difference": kept_together(f"{plain(apart)} {check.unit}".strip()) if apart else "none",
        "allowed": kept_together(f"{plain(check.allowed)} {check.unit}".strip()),
        "source": check.source,
    }


def kept_together(words: str) -> str:
    """Words in which no line breaks between a number and what follows it."""
    return re.sub(r"(?<=\d) (?!to\b)", "\u00a0", words)


def plain(number: float) -> str:
    """A number to two significant digits, without an exponent."""
    return f"{Decimal(f'{number:.2g}'):f}"


def text(rows: list[dict[str, str]]) -> str:
    """The whole file."""
    tables = (
        "\n[[checks]]\n" + "".join(f'{key} = "{value}"\n' for key, value in entry.items())
        for entry in rows
    )
    return HEAD + "".join(tables)


def main() -> None:
    """Compute every difference, print it, refuse what is too far apart, and write the file."""
    for check in CHECKS:
        print(says(check))  # noqa: T201
    if too_far := [check for check in CHECKS if difference(check) > check.allowed]:
        raise SystemExit(f"too far apart: {', '.join(map(str, too_far))}")
    FILE.write_text(text([row(check) for check in CHECKS]), "utf-8")
    print(f"{len(CHECKS)} checks written to {FILE.name}")  # noqa: T201


if __name__ == "__main__":
    main()
