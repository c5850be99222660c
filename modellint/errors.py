"""Errors a user can meet; each is one sentence that says what, where and what to do, with its exit status."""

from __future__ import annotations


class ModellintError(Exception):
    """Base of every error that reaches a user as one sentence."""

    exit_status = 3


class UsageProblem(ModellintError):
    """The command, the project file, a rule file or a schedule is wrong."""

    exit_status = 2


class ModelUnreadable(ModellintError):
    """The model file is missing, cut, damaged or not an IFC file."""

    exit_status = 3


class UnitProblem(UsageProblem):
    """A quantity's text cannot be read, or has a unit of another dimension."""


class FileProblems(UsageProblem):
    """All the errors of one text file at once, each with its line and column.

    Attributes:
        problems: `(file, line, column, sentence)` rows, sorted; line and column count from 1.
    """

    def __init__(self, problems: list[tuple[str, int, int, str]]) -> None:
        self.problems = sorted(problems)
        super().__init__("\n".join(f"{file}:{line}:{column}: {text}" for file, line, column, text in self.problems))

    def __reduce__(self) -> tuple[type[FileProblems], tuple[object, ...]]:
        """Made again from its rows where it crosses from one process to another."""
        return (type(self), (self.problems,))
