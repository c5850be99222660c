"""What all tests share: no test answers from, or writes into, the user's own cache of earlier checks."""

from __future__ import annotations

import os

os.environ["MODELLINT_CACHE"] = "off"
