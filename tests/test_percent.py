"""Percent is written one way wherever it is read: no blank before its sign."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

PROGRAM = Path(__file__).parents[1] / "retrofit_desk"
BLANK = re.compile(r"(^|[\d}]) %(?![A-Za-z({0-9])")


def shown_texts(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Every text of a module but its docstrings, in reading order."""
    for node in ast.walk(tree):
        for child in ast.iter_child_nodes(node):
            is_said_alone = isinstance(node, ast.Expr)
            if isinstance(child, ast.Constant) and isinstance(child.value, str) and not is_said_alone:
                yield child.lineno, child.value


def test_no_text_has_a_blank_before_the_percent_sign() -> None:
    found = []
    for path in sorted(PROGRAM.rglob("*.py")):
        for line, text in shown_texts(ast.parse(path.read_text(encoding="utf-8"))):
            if BLANK.search(text):
                found.append(f"{path.relative_to(PROGRAM)}:{line}: {text}")
    assert not found, found
