"""Constants of nature and of standards, each once."""

from __future__ import annotations

GRAVITY = 9.80665
"""Standard acceleration of gravity, m/s^2 (BIPM SI Brochure, 9th ed.)."""
ATMOSPHERE = 101325.0
"""Standard atmosphere, Pa."""
