"""One thing a part may look like, and the values that stand for it on this pump."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wetend.advice.inspect.instruments import Feature, standard_uncertainty
from wetend.advice.inspect.judge import judge
from wetend.advice.inspect.judgement import Check
from wetend.advice.inspect.limits import SURE
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import Instrument, Measured
from wetend.stats.conformance import guard_band
from wetend.units.quantity import M, MFine, Ratio

CLEAR: Ratio = 1.3
"""How many guard bands a picture's figure keeps from its limit: it is to be judged one way only."""
WORN: Ratio = 0.6
"""How far a part that is worn and still good is drawn towards its limit."""
PAST: Ratio = 1.6
"""How far past its limit a condemned one is drawn, at least."""
_MOST: MFine = 0.005
"""Most that the fields of a mark take."""


@dataclass(frozen=True)
class Look:
    """One thing a part may look like."""

    key: str
    title: str
    verdict: Verdict
    """What its own values are judged."""
    measured: Measured
    """Its values, as they would be entered."""
    sure: str
    """What to measure to be sure."""
    size: MFine = 0.0
    """What is drawn of it."""
    limit: MFine = 0.0
    """Against what; 0: nothing that has a limit."""

    @property
    def fields(self) -> tuple[str, ...]:
        """Fields of the measurement that it proposes values for."""
        chosen = {"end", "set", "faces_used"}
        return tuple(
            f
            for f in type(self.measured).model_fields
            if f in self.measured.model_fields_set - chosen
        )


@dataclass(frozen=True)
class Gauge:
    """How a feature is read, and so how near its limit it can still be judged."""

    instrument: Instrument
    feature: Feature
    spread: float = 1.0

    def guard(self, size: M) -> M:
        """How far from a limit a reading has to stay."""
        u = self.spread * standard_uncertainty(self.instrument, self.feature, size)
        return guard_band(u, confidence=SURE)

    def good(self, limit: MFine, size: M = 0.0) -> MFine | None:
        """A figure below a limit that is kept for sure; ``None`` where none can be told from it."""
        value = limit
        for _ in range(60):
            value = limit - CLEAR * self.guard(size or max(value, 0.0))
        return min(value, WORN * limit) if value > 0 else None

    def bad(self, limit: MFine, size: M = 0.0) -> MFine | None:
        """A figure past a limit that is condemned for sure; ``None`` past what a field takes."""
        value = limit
        for _ in range(60):
            value = limit + CLEAR * self.guard(size or value)
        value = max(value, PAST * limit)
        return value if value <= _MOST else None


def checks_on(pump: Pump, coating: Coating | None, measured: Measured) -> dict[str, Check]:
    """The judge's checks on some values, by what is checked: their limits are this pump's."""
    return {str(check.title): check for check in judge(pump, coating, measured).checks}


def upper(pump: Pump, coating: Coating | None, measured: Measured, title: str) -> MFine:
    """The limit that the judge holds one figure against."""
    limit = checks_on(pump, coating, measured)[title].upper
    assert limit is not None
    return limit


def depth_gauge(limit: MFine) -> Gauge:
    """What tells a mark's depth from its limit: straightedge and light, or a finer gauge."""
    simple = Gauge("straightedge and light", "depth")
    return simple if simple.good(limit) is not None else Gauge("maker's gauge", "depth")


Looks = Iterator[Look]
