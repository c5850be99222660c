"""What all tests share: no test uses the user's own cache, and a busy machine fails no property test."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

os.environ["MODELLINT_CACHE"] = "off"
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")
