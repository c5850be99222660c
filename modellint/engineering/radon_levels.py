"""Radon levels: units, and the level at which each jurisdiction acts."""

from dataclasses import dataclass

from modellint.engineering.source import Source

BECQUEREL_PER_PICOCURIE = 37.0
"""1 pCi/L = 37 Bq/m³, exact by definition of the curie."""
CONVERSION_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "201.1 and definition of the curie", grade="A")


@dataclass(frozen=True, slots=True)
class RadonLevel:
    """A level with a name.

    Attributes:
        name: What it is.
        jurisdiction: Whose it is.
        level: Level [Bq/m³].
        printed: How the source prints it.
        source: Where it stands.
    """

    name: str
    jurisdiction: str
    level: float
    printed: str
    source: Source


ACTION_LEVELS: dict[str, RadonLevel] = {
    "canada": RadonLevel(
        "guideline", "Canada", 200.0, "200 Bq/m³",
        Source("guide", "Health Canada radon guideline", "annual average", grade="A"),
    ),
    "eu": RadonLevel(
        "highest reference level", "European Union", 300.0, "300 Bq/m³",
        Source("code", "Directive 2013/59/Euratom", "", memory=True, grade="M"),
    ),
    "uk": RadonLevel(
        "action level", "United Kingdom", 200.0, "200 Bq/m³",
        Source("guide", "Building Research Establishment, radon protection of new buildings", grade="B"),
    ),
    "us": RadonLevel(
        "action level", "United States", 148.0, "4 pCi/L, rounded to 150 Bq/m³",
        Source("guide", "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2016)", grade="A"),
    ),
    "us consider": RadonLevel(
        "consider fixing from", "United States", 74.0, "2 pCi/L, rounded to 75 Bq/m³",
        Source("guide", "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2016)", grade="A"),
    ),
    "us irc 2021": RadonLevel(
        "action limit at hand-over", "United States, IRC 2021 appendix where adopted", 148.0, "4 pCi/L",
        Source("code", "IRC 2021", "AF104", grade="C"),
    ),
    "who": RadonLevel(
        "reference level", "World Health Organization", 100.0, "100 Bq/m³",
        Source("guide", "WHO Handbook on Indoor Radon 2009", "executive summary", grade="B"),
    ),
    "who highest": RadonLevel(
        "highest reference level", "World Health Organization", 300.0, "300 Bq/m³",
        Source("guide", "WHO Handbook on Indoor Radon 2009", "executive summary", grade="B"),
    ),
}
"""Levels by short name, in alphabetical order."""


def becquerel_from_picocurie(level: float) -> float:
    """Return a level in Bq/m³ from one in pCi/L.

    Example:
        >>> becquerel_from_picocurie(4.0)
        148.0
    """
    return level * BECQUEREL_PER_PICOCURIE


def picocurie_from_becquerel(level: float) -> float:
    """Return a level in pCi/L from one in Bq/m³."""
    return level / BECQUEREL_PER_PICOCURIE


def at_or_above(result: float, level: RadonLevel) -> bool:
    """Return whether a test result [Bq/m³] calls for action under a level; equal counts as above.

    Raises:
        ValueError: If the result is negative.
    """
    if not result >= 0.0:
        raise ValueError(f"A radon result cannot be negative, not {result:g} Bq/m³.")
    return result >= level.level
