"""Only `app/clock.py` reads the clock; everything else is given its `now`."""

import ast

import pytest

from tests.contract.places import short, sources

READS = {
    "datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.time_ns",
    "time.localtime", "time.gmtime", "time.ctime", "time.strftime", "func.now",
    "func.current_timestamp", "func.current_date", "func.localtimestamp",
}  # fmt: skip
SQL_READS = ("current_timestamp", "current_date", "current_time", "'now'", "now()")


def clock_reads(code: str) -> list[str]:
    """What in the code reads the computer's or the database's clock, with its line."""
    found = []
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Attribute):
            name = ".".join(ast.unparse(node).split(".")[-2:])
            if name in READS:
                found.append(f"{name} in line {node.lineno}")
        elif isinstance(node, ast.ImportFrom) and node.module == "time":
            taken = {f"time.{alias.name}" for alias in node.names} & READS
            found += [f"{name} in line {node.lineno}" for name in sorted(taken)]
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in {"text", "sa.text"}:
            said = ast.unparse(node).lower()
            found += [f"{word} in line {node.lineno}" for word in SQL_READS if word in said]
    return found


@pytest.mark.parametrize(
    "code",
    [
        "from datetime import datetime, UTC\nx = datetime.now(UTC)",
        "import datetime\nx = datetime.datetime.utcnow()",
        "from datetime import date\nx = date.today()",
        "import time\nx = time.time()",
        "from time import time",
        "x = Column(default=func.now())",
        "x = Column(server_default=text('CURRENT_TIMESTAMP'))",
        "x = datetime.now",
    ],
)
def test_a_planted_reading_of_the_clock_is_found(code: str) -> None:
    assert clock_reads(code)


def test_a_clock_that_was_handed_in_may_be_asked() -> None:
    assert clock_reads("now = self.clock.now()\nimport time\nt = time.monotonic()") == []


def test_only_the_clock_reads_the_clock() -> None:
    readers = {short(path): clock_reads(path.read_text("utf-8")) for path in sources("app")}
    assert readers.pop("app/clock.py"), "the check no longer finds the one place that may"
    assert {name: reads for name, reads in readers.items() if reads} == {}


def test_no_schema_revision_reads_the_clock() -> None:
    found = {short(p): clock_reads(p.read_text("utf-8")) for p in sources("migrations")}
    assert found, "no revision is there"
    assert {name: reads for name, reads in found.items() if reads} == {}
