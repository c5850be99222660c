"""`modellint rules`: list the rules, or explain one."""

from __future__ import annotations

import difflib
import shutil
from typing import Any

import click

from modellint.errors import UsageProblem


@click.command(short_help="List the rules, or explain one.")
@click.argument("rule_id", required=False, metavar="[ID]")
@click.option("--width", type=click.IntRange(40, 400), default=None, help="Columns; default: the terminal's.")
def rules(rule_id: str | None, width: int | None) -> None:
    """List all rules by group, or explain the one called ID (an earlier id does too)."""
    from modellint.reports.rules_text import render_list, render_rule

    book, general = _load()
    columns = width or min(shutil.get_terminal_size((80, 24)).columns, 120)
    if rule_id is None:
        click.echo(render_list(book, width=columns), nl=False)
    else:
        click.echo(render_rule(find(book, rule_id), general, width=columns), nl=False)


def _load() -> tuple[list[Any], dict[str, Any]]:
    """The shipped rules and general settings."""
    from modellint.rulebook.load import load_rules, shipped_settings
    from modellint.rulebook.registry import registry
    from modellint.rulebook.shipped import rules_folder

    general = shipped_settings()
    return load_rules([rules_folder()], registry(), general), general


def find(book: list[Any], rule_id: str) -> Any:
    """The rule with an id, now or earlier.

    Raises:
        UsageProblem: there is none; names near ones.
    """
    for rule in book:
        if rule_id == rule.id or rule_id in rule.was:
            return rule
    from modellint.text import for_terminal

    near = difflib.get_close_matches(rule_id, [rule.id for rule in book], 3, 0.5)
    near += [rule.id for rule in book if rule_id in rule.id and rule.id not in near][:3]
    hint = f" Near it: {', '.join(near)}." if near else " All of them: modellint rules"
    raise UsageProblem(f"No rule is called {for_terminal(rule_id, 80)}.{hint}")
