"""Who may do what: the reviewed table says what the application does."""

from pathlib import Path

from tests.contract.role_matrix import FILE, rows, table


def test_the_reviewed_table_is_what_each_role_meets(tmp_path: Path) -> None:
    fresh = rows(tmp_path)
    assert {row.cells[-1] for row in fresh} <= {"", "–"}, "somebody opened a tank of others"
    written = FILE.read_text("utf-8").splitlines()
    lines = table(fresh).splitlines()
    changed = [line for line in lines if line not in written]
    gone = [line for line in written if line not in lines]
    assert (changed, gone) == ([], []), "review it: python -m tests.contract.role_matrix"
