"""What a seeded defect is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ..pieces import House


@dataclass(frozen=True)
class Where:
    """The place a finding must name.

    Attributes:
        pieces: keys of the pieces that were changed, added or taken out, the telling one first, then those
            the break lies between. Those taken out are in the clean house only.
        host: key of the wall, pipe or slab that the finding's place hangs on, "".
        wall: wall mark, "".
        storey: storey name, "".
        end: compass word of the wall end, "".
        segment: number of the full-height length from the wall's start, 0 if it has no part in it.
    """

    pieces: tuple[str, ...]
    host: str = ""
    wall: str = ""
    storey: str = ""
    end: str = ""
    segment: int = 0


@dataclass(frozen=True)
class Defect:
    """One seeded defect.

    Attributes:
        name: kebab-case, unique.
        rule: rule that must catch it.
        expect: `fail` or `open`.
        text: what was done, in one sentence.
        change: changes a house in place.
        where: house name to the place; its keys are the houses the defect exists in.
        also: other rules that may rightly speak up because of the same change.
        silent: manners that cannot carry it, so that the rule stays open or quiet there.
        together: the test-suite seeds it with others in one house; the benchmark seeds each alone.
        needs: `schedules` if the project file with its schedules must be read along; else "".
    """

    name: str
    rule: str
    expect: str
    text: str
    change: Callable[[House], None]
    where: Mapping[str, Where]
    also: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    needs: str = ""
    settings: Mapping[str, str] = field(default_factory=dict)
    together: bool = False

    @property
    def houses(self) -> tuple[str, ...]:
        """Names of the houses it can be seeded in."""
        return tuple(self.where)

    def apply(self, house: House) -> House:
        """A copy of the house with this defect in it.

        Raises:
            ValueError: the defect does not exist in this house.
        """
        if house.name not in self.where:
            raise ValueError(f"defect {self.name} is for {', '.join(self.where)}, not {house.name}")
        made = house.copy()
        self.change(made)
        return made
