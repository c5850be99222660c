"""`modellint rfi`: one question about one finding, drafted for the person who decides."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import quote

import click

from modellint.cli.common import debug_option, limit_options, limits_from, others_option, project_option
from modellint.cli.whatif import Move, Set
from modellint.errors import UsageProblem
from modellint.limits import Limits


@click.command(short_help="Draft a request for information about a finding.")
@click.argument("model", type=click.Path(path_type=Path))
@click.argument("finding", metavar="FINDING_ID")
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    default=None,
    metavar="FILE.md",
    help="Write the draft there and its sketch beside it, as FILE.svg [default: print it, without a sketch].",
)
@others_option()
@click.option(
    "--before",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="EARLIER",
    help="An earlier model, or each of its files: the draft tells what its numbers were.",
)
@click.option(
    "--move",
    "moves",
    type=Move(),
    multiple=True,
    metavar="GLOBAL_ID=DX,DY,DZ",
    help="Offer this move as an option, with its numbers; as in `modellint whatif`.",
)
@click.option(
    "--set",
    "sets",
    type=Set(),
    multiple=True,
    metavar="GLOBAL_ID.QUANTITY=VALUE",
    help="Offer this change as an option, with its numbers; as in `modellint whatif`.",
)
@click.option(
    "--units",
    "display",
    type=click.Choice(("metric", "us")),
    default=None,
    help="Units of the draft [default: the project's, else metric].",
)
@click.option("--force", is_flag=True, help="Overwrite files that modellint did not write.")
@project_option()
@limit_options()
@debug_option()
def rfi(
    model: Path,
    finding: str,
    output: Path | None,
    others: tuple[Path, ...],
    before: tuple[Path, ...],
    moves: tuple[Any, ...],
    sets: tuple[Any, ...],
    display: str | None,
    force: bool,
    project: Path | None,
    memory: int,
    seconds: float,
) -> None:
    """Draft a request for information about FINDING_ID of MODEL, in Markdown, for a person to complete and send.

    One question to whoever decides it, what the model shows, numbers, a sketch, options including "leave as is", what
    is due when, and the evidence. The id, or its first six characters, is the one that `modellint check` prints.
    Exit status: 0 drafted; 2 wrong usage, or no such finding; 3 the model could not be checked.

    Examples:

      modellint rfi house.ifc 3f9a01c2b4d5e6f7 -o rfi-1.md

      modellint rfi friday.ifc 3f9a01 --before monday.ifc -o rfi-1.md

      modellint rfi house.ifc 3f9a01 --move GLOBAL_ID=-300mm,0,0 -o rfi-1.md
    """
    from modellint.reports.rfi_md import find, render, sketch_of
    from modellint.text import for_terminal

    limits = limits_from(memory, seconds)
    request = {"models": [model, *others], "project": project, "display": display, "drawings": True}
    report, row, numbers = _found({**request, "before": list(before)}, finding, limits)
    if not report["findings"] and report["exit"]["status"] == 3:
        for reason in report["exit"]["reasons"]:
            click.echo(f"The check is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)
    told: dict[str, Any] = row["finding"] if row is not None else dict(find(report["findings"], finding))
    tried = _tried({**request, "drawings": False}, told, moves, sets, limits) if moves or sets else None
    drawing = sketch_of(report, told) if output is not None else ""
    beside = output.with_suffix(".svg") if output is not None and drawing else None
    text = render(
        report,
        told,
        sketch=quote(beside.name) if beside else "",
        changed=numbers,
        status=str(row["status"]) if row is not None else "",
        tried=tried,
    )
    if output is None:
        click.echo(text, nl=False)
        return
    _write(output, text, beside, drawing, force)


def _found(
    request: dict[str, Any], wanted: str, limits: Limits
) -> tuple[dict[str, Any], dict[str, Any] | None, list[dict[str, Any]]]:
    """The report, and with an earlier model the finding's row of the comparison and its numbers before and now."""
    from modellint.reports.rfi_md import find
    from modellint.worker import run

    if not request["before"]:
        return run(request, limits), None, []
    made = run(request, limits, target="modellint.comparison:compare")
    if "matching" not in made:
        return made, None, []
    rows = {row["finding"]["id"]: row for row in made["findings"]}
    row = rows[find([one["finding"] for one in made["findings"]], wanted)["id"]]
    if row["status"] == "cleared":
        raise UsageProblem(f"Finding {row['finding']['id']} is cleared in the later model, so there is nothing to ask.")
    numbers = [one for one in made["numbers"] if one["end"] == row["finding"]["subject"]["key"]]
    return {**made["report"], "drawings": made.get("drawings", {}).get("after", [])}, row, numbers


def _tried(
    request: dict[str, Any], told: dict[str, Any], moves: tuple[Any, ...], sets: tuple[Any, ...], limits: Limits
) -> Any:
    """What a changed copy gives for this finding."""
    from modellint.reports.rfi_md import Tried
    from modellint.reports.whatif_text import numbers_of
    from modellint.units import show
    from modellint.worker import run

    order = {**request, "moves": [list(row) for row in moves], "sets": [list(row) for row in sets]}
    answer = run(order, limits, target="modellint.whatif:compare")
    if "what_if" not in answer:
        raise UsageProblem(f"The change could not be tried: {answer['exit']['reasons'][0]}")
    made = answer["what_if"]
    words = [
        f"move {key} by {', '.join(show(value, 'length', made['display']) for value in vector)} (x, y, z)"
        for key, *vector in moves
    ]
    words += [f"give {key} the {quantity.replace('_', ' ')} {value}" for key, quantity, value in sets]
    gone = any(row["id"] == told["id"] for row in made["findings"]["gone"])
    changed = next((row["after"] for row in made["findings"]["changed"] if row["after"]["id"] == told["id"]), None)
    own = [end for end in made["ends"] if end["key"] == told["subject"]["key"]] or made["ends"]
    numbers = tuple(
        (f"{label}, {end['name']}" if len(own) > 1 else label, old, new)
        for end in own
        for label, old, new in numbers_of(end, made["display"])
    )
    text = " and ".join(words)
    return Tried(
        text[:1].upper() + text[1:],
        "gone" if gone else "changed" if changed else "stays",
        None if gone else changed or told,
        numbers,
        tuple(row["message"] for row in made["findings"]["new"]),
    )


def _write(output: Path, text: str, beside: Path | None, drawing: str, force: bool) -> None:
    from modellint.reports.atomic import write_atomic

    if output.suffix.lower() == ".svg":
        raise UsageProblem("The draft is Markdown and its sketch an .svg beside it; name a file such as rfi.md.")
    if beside is not None:
        write_atomic(beside, drawing.encode(), force)
    write_atomic(output, text.encode(), force)
