"""The checklist names tests that are there; and what only the source can show."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

HERE: Final = Path(__file__).parent
ROOT: Final = HERE.parent.parent
LIST: Final = HERE / "checklist.md"
ROW: Final = re.compile(r"^\| (?P<what>.+?) \| (?P<shown>.+) \|$", re.MULTILINE)
NAMED: Final = re.compile(r"(?P<file>tests/[\w/]+\.py)::(?P<name>test_\w+)")


def rows() -> list[tuple[str, str]]:
    found = [(m["what"], m["shown"]) for m in ROW.finditer(LIST.read_text("utf-8"))]
    return [row for row in found if row[0] != "What has to hold"]


def functions(file: Path) -> set[str]:
    tree = ast.parse(file.read_text("utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_every_line_names_tests_or_says_why_not() -> None:
    assert len(rows()) > 45
    for what, shown in rows():
        tests = NAMED.sub("", shown).strip(", ") == "" and NAMED.search(shown)
        assert tests or shown.startswith("does not apply because "), what


def test_every_test_that_is_named_is_there() -> None:
    missing = [
        f"{found['file']}::{found['name']}"
        for _, shown in rows()
        for found in NAMED.finditer(shown)
        if not (ROOT / found["file"]).exists()
        or found["name"] not in functions(ROOT / found["file"])
    ]
    assert missing == []


def test_every_test_of_this_folder_is_in_the_list() -> None:
    named = {m["name"] for m in NAMED.finditer(LIST.read_text("utf-8"))}
    helpers = {"test_it_answers"}
    for file in (f for f in HERE.glob("test_*.py") if f != Path(__file__)):
        tests = {name for name in functions(file) if name.startswith("test_")}
        assert named & tests, f"{file.name} is in no line"
        helpers |= tests - named
    # what shows that a way is not closed to the right people, or that a check can fail
    assert len(helpers) < len(named)


def modules(words: str) -> Iterator[tuple[str, ast.Module]]:
    """The modules of the application in which one of these words stands."""
    for file in sorted((ROOT / "app").rglob("*.py")):
        content = file.read_text("utf-8")
        if re.search(words, content):
            yield file.relative_to(ROOT).as_posix(), ast.parse(content)


RUNS_TEXT: Final = {
    "pickle", "marshal", "shelve", "subprocess", "eval", "exec", "compile", "__import__",
    "os.system", "os.popen", "render_template_string",
}  # fmt: skip


def called(node: ast.AST) -> str:
    """What a call calls: a name, or the last two parts of a dotted one; "" for anything else."""
    found = node.func if isinstance(node, ast.Call) else None
    if isinstance(found, ast.Attribute):
        of = found.value.id if isinstance(found.value, ast.Name) else ""
        return f"{of}.{found.attr}"
    return found.id if isinstance(found, ast.Name) else ""


def uses(tree: ast.AST) -> Iterator[str]:
    """The names of what a module calls and imports."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield called(node)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (alias.name for alias in node.names)


def test_nothing_that_runs_text_is_used() -> None:
    words = rf"\b({'|'.join(map(re.escape, RUNS_TEXT))})\b"
    found = {(name, used) for name, tree in modules(words) for used in set(uses(tree)) & RUNS_TEXT}
    assert found == set()


STATEMENTS: Final = {"execute", "exec_driver_sql", "executemany", "executescript"}
_NAME_ONLY: Final = re.compile(r"quoted\(|pragma|name|table|schema|placeholders|^_?[A-Z_]+$")


def put_together(tree: ast.AST) -> Iterator[ast.JoinedStr]:
    """Statements with a part that is filled in, in a call that sends or makes one."""
    for node in ast.walk(tree):
        name = called(node)
        if isinstance(node, ast.Call) and (
            name in {"text", "sqlalchemy.text"} or name.rpartition(".")[2] in STATEMENTS
        ):
            yield from (a for a in node.args if isinstance(a, ast.JoinedStr))


def test_no_statement_is_put_together_from_what_was_typed() -> None:
    """What is filled into a statement is a name of the schema; values are parameters."""
    sending = list(modules(rf"({'|'.join(STATEMENTS)}|\btext)\("))
    assert len(sending) > 20
    faults = [
        f"{name}:{part.lineno}: {ast.unparse(part)}"
        for name, tree in sending
        for statement in put_together(tree)
        for part in statement.values
        if isinstance(part, ast.FormattedValue) and not _NAME_ONLY.search(ast.unparse(part.value))
    ]
    assert faults == []
    assert not any(name.startswith("app/web/") and list(put_together(t)) for name, t in sending)


# a drawing of the project: a constant of a template, or what the charts drew and cleaned
DRAWN: Final = re.compile(r"^[A-Z_]+(\[.+\])?$|^parts\[1\]$|\.svg$|^page\.drawing\.svg$")
SAFE: Final = re.compile(r"([\w.]+(?:\[[^\]]*\])?)\s*\|\s*safe\b|autoescape\s+false")
CLEANED: Final = re.compile(r"^$|svg\b|^outlines\(|_svg\(")


def test_no_template_skips_escaping() -> None:
    faults = [
        f"{file.relative_to(ROOT)}: {found[0]}"
        for file in sorted((ROOT / "templates").rglob("*.html"))
        for found in SAFE.finditer(file.read_text("utf-8"))
        if not DRAWN.search(found[1] or "")
    ]
    assert faults == []


def test_only_drawings_are_taken_as_markup() -> None:
    faults = [
        f"{name}:{node.lineno}: {ast.unparse(node)}"
        for name, tree in modules(r"Markup\(")
        for node in ast.walk(tree)
        if called(node).endswith("Markup") and isinstance(node, ast.Call)
        and not all(
            isinstance(part, ast.Constant) or CLEANED.search(ast.unparse(part))
            for part in node.args
        )
    ]  # fmt: skip
    assert faults == []


@pytest.mark.parametrize(
    "code",
    [
        "import pickle", "from pickle import loads", "eval(x)", "subprocess.run(x)",
        "os.system(x)",
    ],
)  # fmt: skip
def test_planted_code_is_found(code: str) -> None:
    names = set(uses(ast.parse(code)))
    assert names & RUNS_TEXT or {name.split(".")[0] for name in names} & RUNS_TEXT


def test_a_planted_statement_is_found() -> None:
    tree = ast.parse("session.scalar(text(f'SELECT * FROM entry WHERE note = {typed}'))")
    assert list(put_together(tree))
