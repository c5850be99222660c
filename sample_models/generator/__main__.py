"""Write all sample models, schedules and pages: `python -m sample_models.generator`."""

from __future__ import annotations

from pathlib import Path

from . import HOUSES, MANNERS, build, write, write_together
from .pages import page
from .schedules import write_schedules

ROOT = Path(__file__).resolve().parent.parent


def main(root: Path = ROOT) -> None:
    """Write every file below a folder."""
    for name in HOUSES:
        house, folder = build(name), root / name
        folder.mkdir(parents=True, exist_ok=True)
        for manner in MANNERS:
            write(house, manner, folder / f"{manner}.ifc")
        if name == "three-storey":
            write_together(house, folder / "together")
        write_schedules(house, folder)
        (folder / "README.md").write_text(page(house), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
