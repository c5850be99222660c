"""What all tests share: no test uses the user's own cache, and a busy machine fails no property test.

Property tests draw the same examples every time, so a run that passed passes again. To look for new
counter-examples, run them with MODELLINT_HYPOTHESIS=search.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

os.environ["MODELLINT_CACHE"] = "off"
_PATIENT = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("repeatable", derandomize=True, **_PATIENT)
settings.register_profile("search", **_PATIENT)
settings.load_profile(os.environ.get("MODELLINT_HYPOTHESIS", "repeatable"))
