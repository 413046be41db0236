"""The house stays one of small rooms: sizes of files and functions, a caption on each."""

import ast
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest

KB = Path(__file__).parents[2] / "kb"
FILES = sorted(path for path in KB.rglob("*.py") if "versions" not in path.parts)
LONGEST_FILE = 300
LONGEST_FUNCTION = 40
MEDIAN_FUNCTION = 10


def functions(path: Path) -> Iterator[tuple[str, int]]:
    """Yield each function of a file with its number of lines, docstring left out."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            told = ast.get_docstring(node, clean=False)
            lines = node.end_lineno - node.lineno + 1 - (told.count("\n") + 1 if told else 0)
            yield f"{path.relative_to(KB)}:{node.name}", lines


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(KB)))
def test_a_file_is_short_and_has_a_caption(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert text.count("\n") <= LONGEST_FILE
    assert ast.get_docstring(ast.parse(text))


def test_functions_are_short() -> None:
    lengths = dict(found for path in FILES for found in functions(path))

    assert {name: n for name, n in lengths.items() if n > LONGEST_FUNCTION} == {}
    assert median(lengths.values()) <= MEDIAN_FUNCTION


@pytest.mark.parametrize("path", [p for p in FILES if p.name == "__init__.py"], ids=str)
def test_a_package_holds_no_code_of_its_own(path: Path) -> None:
    body = ast.parse(path.read_text(encoding="utf-8")).body
    code = [node for node in body[1:] if not isinstance(node, ast.Assign)]

    assert code == []
