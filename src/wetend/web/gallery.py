"""Every component with sample data, on one page."""

from __future__ import annotations

from fastapi import APIRouter

router = APIRouter()
