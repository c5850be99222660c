"""Where the shipped rules are: in the wheel inside the package, in a checkout or sdist beside it."""

from __future__ import annotations

from pathlib import Path

from modellint.errors import UsageProblem


def rules_folder() -> Path:
    """Folder of the shipped rules.

    Raises:
        UsageProblem: the installation has none.
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_rules", package.parent / "rules"):
        if (folder / "settings.yaml").is_file():
            return folder
    raise UsageProblem(f"The shipped rules are missing beside {package}; install modellint again.")
