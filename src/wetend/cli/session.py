"""What holds for every command: which depot, who works, which units answers are shown in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Units(StrEnum):
    """Units answers are shown in."""

    METRIC = "metric"
    IMPERIAL = "imperial"


@dataclass(frozen=True)
class Session:
    """The options before the command's name."""

    where: str = ""
    who: str = ""
    place: str = ""
    units: Units = Units.METRIC
