"""The code's own rules: linted, typed, imports run one way, modules and functions stay small."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CHECKS = {
    "ruff": [sys.executable, "-m", "ruff", "check", "modellint", "sample_models", "tests"],
    "mypy": [sys.executable, "-m", "mypy", "-p", "modellint"],
    "import contracts": [sys.executable, "-c",
                         "from importlinter.cli import lint_imports_command; lint_imports_command()"],
}
LINES, FUNCTION_LINES = 400, {"modellint": 60, "sample_models": 80}


def length(node: ast.FunctionDef) -> int:
    """Lines of a function below its docstring."""
    body = node.body[1:] if ast.get_docstring(node) else node.body
    return (node.end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("name", CHECKS)
def test_tool_finds_nothing(name: str) -> None:
    done = subprocess.run(CHECKS[name], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-2000:]


def modules() -> list[Path]:
    return sorted([*(ROOT / "modellint").rglob("*.py"), *(ROOT / "sample_models").rglob("*.py")])


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_modules_and_functions_stay_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LINES
    long = [f"{node.name} ({length(node)} lines)" for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.FunctionDef) and length(node) > FUNCTION_LINES[path.relative_to(ROOT).parts[0]]]
    assert long == []
