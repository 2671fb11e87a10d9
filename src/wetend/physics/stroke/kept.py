"""What has been compiled of this folder already."""

from __future__ import annotations

from pathlib import Path

from wetend.physics.stroke.compiled_folder import kept_in

KEPT_IN = kept_in(Path(__file__).parent)
"""Folder for compiled code, or ``None`` where none can be written."""
OBJECT_FILE = KEPT_IN / "kernel.object" if KEPT_IN is not None else None
"""The same as object code: see :mod:`.object_code`."""
