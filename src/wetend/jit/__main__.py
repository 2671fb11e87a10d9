"""Compile what a module lists as ``NATIVE`` and keep it: ``python -m wetend.jit MODULE``."""

from __future__ import annotations

import sys

from wetend.jit.compiling import keep_all

if __name__ == "__main__":
    keep_all(sys.argv[1])
