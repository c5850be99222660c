"""One comparison of two revisions: both checked, matched, and laid side by side. Runs inside the child process."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from modellint.findings.report import Report
from modellint.findings.waivers import apply_waivers
from modellint.graph.house import House
from modellint.ifc.model import Model, Note
from modellint.pipeline import Books, Say, judge_model, load_books, read_model

if TYPE_CHECKING:
    from modellint.compare.built import Marks
    from modellint.compare.things import Revision
    from modellint.measures.ask import Ask


def compare(request: Mapping[str, Any], announce: Say = lambda _: None,
            progress: Say = lambda _: None) -> dict[str, Any]:
    """Compare two revisions and return the comparison as a dict (docs/compare.schema.json).

    Args:
        request: `before` and `models` (paths of the files of each), and optionally `earlier` (ids of findings in
            reports of still earlier revisions), `before_name`, and what `pipeline.check` takes. Rules, settings and
            schedules are those of the later revision's project, for both.
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.
    """
    paths = [Path(path) for path in request["models"]]
    books = load_books(paths[0], request.get("project"))
    skip, native = frozenset(request.get("skip", ())), bool(request.get("native", True))
    sides = []
    for word, files in (("before", [Path(path) for path in request["before"]]), ("after", paths)):
        progress(f"reading {word}")
        model = read_model(files, skip, announce, native)
        progress(f"judging {word}")
        own = books if word == "before" else replace(books, waivers=())
        kept: list[tuple[House, Ask]] = []
        sides.append(Side(model, judge_model(model, own, request, kept), kept))
    progress("matching")
    return _Comparison(sides[0], sides[1], books, request).as_dict()


class Side:
    """One revision: its model, its report, and its houses with their measures."""

    def __init__(self, model: Model, report: Report, kept: list[tuple[House, Ask]]) -> None:
        from modellint.compare.things import revision

        self.model, self.report = model, report
        self.revision: Revision = revision(model, [house for house, _ in kept])
        self.asks = [ask for _, ask in kept]
        self.ask_of_end = {end.key: ask for house, ask in kept for end in house.nodes.get("wall_end", ())}

    def reads(self) -> dict[str, list[tuple[str, frozenset[str]]]]:
        """Subject key to what was asked of it and the parts that rested on."""
        found: dict[str, list[tuple[str, frozenset[str]]]] = {}
        for ask in self.asks:
            found.update(ask.reads_by_subject())
        return found


class _Comparison:
    """What is found, in the order of the report."""

    def __init__(self, before: Side, after: Side, books: Books, request: Mapping[str, Any]) -> None:
        from modellint.compare.changes import changes_between
        from modellint.compare.matching import match_revisions
        from modellint.compare.nodes import match_keys
        from modellint.compare.outcomes import Causes, outcomes, translated_ids
        from modellint.units import show

        self.before, self.after, self.books, self.request = before, after, books, request
        self.display = request.get("display") or books.display
        self.show = lambda value, dimension: show(value, dimension, self.display)
        self.matching = match_revisions(before.revision, after.revision)
        self.keys = match_keys(before.revision, after.revision, self.matching)
        ids = translated_ids(before.report.findings, self.keys,
                             {rule.id: rule.each_gives for rule in books.rules if rule.each})
        self._carry_waivers(ids)
        self.changes = changes_between(before.revision, after.revision, self.matching, self.show)
        self.outcomes = outcomes(before.report.findings, after.report.findings, ids,
                                 frozenset(request.get("earlier", ())))
        self.causes = Causes(self.changes, self.keys, before.reads(), _uses(books))

    def _carry_waivers(self, ids: Mapping[str, str]) -> None:
        """Waivers follow their findings into AFTER, but not into a mirrored house."""
        from modellint.compare.outcomes import carried_waivers

        today = str(self.request.get("today") or "")
        report, waivers = self.after.report, self.books.waivers
        if self.matching.frame is not None and self.matching.frame.mirrored and waivers:
            report.notes.append(Note("waiver-not-carried", f"The later house is mirrored, so it is another house: none "
                                     f"of the {len(waivers)} waivers was carried over. Accept anew what still holds."))
            return
        carried = carried_waivers(waivers, ids)
        notes, dated = apply_waivers(report.findings, carried, today)
        report.notes += notes
        report.today = today if dated else ""
        renamed = [(old.id, new.id) for old, new in zip(waivers, carried, strict=True) if old.id != new.id]
        report.notes += [Note("waiver-renamed", f"The waiver for finding {old} is about finding {new} in the later "
                              "model; change its id to keep it.") for old, new in renamed]

    def as_dict(self) -> dict[str, Any]:
        """The whole comparison as plain data."""
        from modellint.reports.compare_json import to_dict

        return to_dict(self._rows(), self.before.report, self.after.report, self.request, self.display)

    def _rows(self) -> dict[str, Any]:
        from modellint.compare.built import built_changes
        from modellint.compare.numbers import numbers
        from modellint.compare.pictures import drawing_pairs
        from modellint.compare.reasons import reasons_gone
        from modellint.compare.tell import tell
        from modellint.compare.touched import downstream
        from modellint.graph.storeys import storeys_of

        frame = self.matching.frame
        mirrored = frame.text if frame is not None and frame.mirrored else ""
        marks = self._marks()
        built = built_changes(self.changes, marks)
        storeys = [row for house in self.after.revision.houses for row in storeys_of(house.model, house.key)]
        drawn = (self.before.report.drawings, self.after.report.drawings)
        return {
            "matching": self.matching,
            "elements": (len(self.before.revision.things), len(self.after.revision.things)),
            "changes": self.changes,
            "places": self._places(),
            "spots": self._spots(),
            "pairs": drawing_pairs(*drawn, self.keys) if all(drawn) else [],
            "outcomes": self.outcomes,
            "causes": {row.now_id: self.causes.of(row.after) for row in self.outcomes
                       if row.status in {"new", "returned"} and row.after is not None},
            "numbers": numbers(self.keys, self.changes, self.before.ask_of_end, self.after.ask_of_end),
            "built": built,
            "downstream": downstream(self.after.revision, self.before.revision, self.keys, self.changes),
            "reasons_gone": reasons_gone(self.keys, self.changes, self.after.ask_of_end, self.after.report.findings,
                                         marks),
            "tell": tell(self.changes, self.outcomes, storeys[0].name if storeys else "", mirrored, built),
        }

    def _marks(self) -> Marks:
        from modellint.compare.built import Marks
        from modellint.measures.build_state import progress_of

        sides = [[progress_of(ask.house, ask) for ask in side.asks] for side in (self.before, self.after)]
        return Marks(self.matching, *sides)

    def _spots(self) -> dict[str, dict[str, Any]]:
        """Change key to where it was and is: world metres of each model, and storey."""
        found: dict[str, dict[str, Any]] = {}
        for change in self.changes:
            row: dict[str, Any] = {}
            for word, key, side in (("before", change.before, self.before), ("after", change.after, self.after)):
                thing = side.revision.things.get(key)
                drawn = thing is not None and thing.box is not None
                row[f"at_{word}"] = (thing.middle + side.model.origin).tolist() if thing is not None and drawn else None
                row[f"storey_{word}"] = thing.storey if thing is not None else ""
            found[change.key] = row
        return found

    def _places(self) -> dict[str, str]:
        """Change key to the place where it is, or was, in words."""
        from modellint.findings.places import PlaceFinder

        found: dict[str, str] = {}
        for side, name in ((self.before, "before"), (self.after, "after")):
            for house in side.revision.houses:
                finder = PlaceFinder(house)
                for change in self.changes:
                    key = getattr(change, name)
                    if key in house.parts and (name == "after" or not change.after):
                        found[change.key] = finder.place(house.parts[key], None).text
        return found


def _uses(books: Books) -> dict[str, frozenset[str]]:
    """Rule id to the measures and sets that it names."""
    from modellint.rulebook.rule import uses

    found = {}
    for rule in books.rules:
        names: set[str] = {rule.each} if rule.each else set()
        for condition in (rule.when, rule.expect):
            operands, _, sets = uses(condition)
            names |= {operand.measure for operand in operands} | set(sets)
        found[rule.id] = frozenset(names)
    return found
