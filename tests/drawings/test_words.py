"""Every drawing says all its words in its reader's language and units, and still fits its sheet."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
import pytest
from pseudo import changed

from wetend.advice.diagnosis.diagnose import Finding
from wetend.advice.faults.tables import FAULTS
from wetend.advice.fleet.month import Outcome
from wetend.advice.inspect.looks.table import looks_of
from wetend.advice.life.plot import PlotPoint, ProbabilityPlot
from wetend.advice.life.remaining import RemainingLife
from wetend.advice.listening.strokes import judge
from wetend.advice.reasons import Interval, Verdict
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.soft_rings import ring_looks
from wetend.advice.simulation.film import CHANNELS, Film
from wetend.advice.stores.call_box import best_box, faults_before_checks
from wetend.drawings import (
    bars,
    clock,
    life,
    listening,
    packing_set,
    policies,
    stack,
    strokes,
    traces,
    verdict,
)
from wetend.drawings.acts.between import BETWEEN
from wetend.drawings.acts.exploded import WIDE as TAKEN_APART_WIDE
from wetend.drawings.acts.exploded import exploded
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.acts.view import WIDE as ACT_WIDE
from wetend.drawings.box_curve import box_curve
from wetend.drawings.looks.draw import PARTS, picture
from wetend.drawings.looks.rings import ring_picture
from wetend.drawings.measuring import running
from wetend.drawings.measuring.benches import BENCHES, measuring
from wetend.drawings.svg import tag, text_width
from wetend.drawings.wet_end import motion, section
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES, StackMeasured
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.stats.signal.hearing import follow_taps
from wetend.units.kinds import System
from wetend.units.message import Words

NS = "{http://www.w3.org/2000/svg}"
UNITS = {"mL", "psi", "in", "gal", "gpm", "min", "fl", "oz", "lbf", "thou", "in³"}
PLAIN = re.compile(r"[A-Za-z]{2,}")
METRIC = re.compile(r"\d (?:mm|bar|L|L/min)\b|\b(?:bar|L/min|mm)$")


@dataclass(frozen=True)
class Accented:
    """Who reads accented English, each word so many times as long, in inches."""

    system: System = "imperial"
    times: int = 1

    def gettext(self, message: str) -> str:
        told = changed(message)
        return re.sub(r"(?<!\{)\b([^\W\d_{}]+)\b(?![^{]*\})", lambda m: m[0] * self.times, told)

    def ngettext(self, one: str, many: str, n: int) -> str:
        return self.gettext(one if n == 1 else many)


def _film() -> Film:
    t = np.linspace(0.0, 1.0, 5)
    return Film(t, {k: np.array([0.0, 1e-3, 2e-3, 1e-3, 0.0]) for k in CHANNELS})


def _acts(pump: Pump, reader: Words, *, back: bool = False) -> str:
    """All acts of a strip, or of its rebuild, in one document."""
    pictures, operations = pictures_of(pump, reader=reader), pump.strip.operations
    steps = [(o.key, o.title, None) for o in reversed(operations)]
    drawn = (
        pictures.rebuild_steps([*steps, *((key, "", None) for key in BETWEEN)]) if back
        else pictures.strip_steps((o, None) for o in operations)
    )  # fmt: skip
    return tag("svg", *drawn, xmlns="http://www.w3.org/2000/svg")


PUMP, CLAMPED = (demo_pump(key) for key in DEMO_PUMPS[:2])
FIT = fit_stack(PUMP, StackMeasured(tin=(0.0001, 0.00025, 0.0005, 0.0005, 0.001)), draws=500)
SPAN = Interval(1e6, 2e6, 3e7)
LEFT = RemainingLife(
    "rod", PART_TITLES["rod"], 1.0, SPAN, SPAN, SPAN, 0.1, Verdict.WATCH, "soon", "", 3
)
MARKED = {"rod": Verdict.REPLACE, "foot-seat": Verdict.MEASURE_AGAIN}
TAPS = follow_taps([float(t) for t in np.cumsum([0.0] + [1.3, 1.0] * 10)])
COSTS = [Outcome("by calendar", SPAN, SPAN, SPAN, SPAN, {}, SPAN)]
LIVES = np.array([0.5, 1.0, 2.0])
PLOT = ProbabilityPlot(
    "rod", (PlotPoint(1.0, 0.5),), LIVES, LIVES * 0.2, LIVES * 0.3, LIVES * 0.4, 0.5, 1, 0
)
OWN = sorted((
    PUMP.name, CLAMPED.name, *(layer.title for layer in FIT.layers),
    *(o.title for pump in (PUMP, CLAMPED) for o in pump.strip.operations),
), key=len, reverse=True)  # fmt: skip
"""What the pumps' descriptions say is theirs; nobody translates it."""
FINDINGS = [Finding(f, 0.4, "possible", None, None, "", "") for f in FAULTS[:4]]
DRAWN: dict[str, Callable[[Words], str]] = {
    "faults": lambda r: bars.faults(FINDINGS, reader=r),
    "no faults": lambda r: bars.faults([], reader=r),
    "clock": lambda r: clock.face(3.1, 3.0, 3.2, 3.14, 0.1, reader=r),
    "clock by hand": lambda r: clock.face(3.1, 3.0, 3.2, 3.14, set_by_hand=True, reader=r),
    "clock without target": lambda r: clock.face(3.1, 3.0, 3.2, reader=r),
    "lives": lambda r: life.bars([LEFT], reader=r),
    "plot": lambda r: life.probability(PLOT, reader=r),
    "trace": lambda r: listening.trace(judge(TAPS, "taps", "up"), reader=r),
    "moving set": lambda r: packing_set.section(PUMP, "moving-packings", reader=r),
    "static set": lambda r: packing_set.section(PUMP, "static-packings", reader=r),
    "policies": lambda r: policies.costs(COSTS, reader=r),
    "stack": lambda r: stack.section(FIT, PUMP, reader=r),
    "wrong way": lambda r: stack.variant(FIT.variants[0], FIT, PUMP, reader=r),
    "strokes": lambda r: strokes.compare(1.4, None, 1.0, 1.0, reader=r),
    "slow and quick": lambda r: strokes.compare(1.4, 0.7, 1.0, 1.0, reader=r),
    "traces": lambda r: traces.panels(
        next(iter(traces.GROUPS)), _film(), _film(), tuple(CHANNELS), reader=r
    ),
    "verdict": lambda r: verdict.mark(Verdict.NOT_PROVEN, reader=r),
    "box": lambda r: box_curve(best_box(faults_before_checks([], {}), room=2e-3), 2e-3, reader=r),
    "in motion": lambda r: motion.beside(PUMP, _film(), _film(), reader=r),
    "section": lambda r: section.section(PUMP, MARKED, reader=r),
    "section of the other pump": lambda r: section.section(CLAMPED, reader=r),
    **{
        f"measuring {part}": lambda r, part=part: measuring(PUMP, part, reader=r)  # type: ignore[misc]
        for part in BENCHES
    },
    **{
        f"check {key}": lambda r, key=key: running.check(PUMP, key, reader=r)  # type: ignore[misc]
        for key in running.CHECKED
    },
    **{
        f"prove {key}": lambda r, key=key: running.proof(PUMP, key, reader=r)  # type: ignore[misc]
        for key in running.PROVED
    },
    **{
        look.key: lambda r, look=look: ring_picture(look, reader=r)  # type: ignore[misc]
        for look in ring_looks(PUMP, 2e-5)
    },
    **{
        f"{part} {look.key}": lambda r, part=part, look=look: picture(  # type: ignore[misc]
            PUMP, part, look, reader=r
        )
        for part in PARTS
        for look in looks_of(PUMP, None, part)
    },
    "taken apart": lambda r: exploded(PUMP, reader=r),
    "strip": lambda r: _acts(PUMP, r),
    "strip of the other pump": lambda r: _acts(CLAMPED, r),
    "rebuild": lambda r: _acts(PUMP, r, back=True),
    "tray": lambda r: pictures_of(PUMP, reader=r).tray(
        PUMP.strip.operations, [o.key for o in PUMP.strip.operations]
    ),
    "rebuild of the other pump": lambda r: _acts(CLAMPED, r, back=True),
}


def _said(svg: str) -> Iterator[str]:
    for element in ElementTree.fromstring(svg).iter():
        if element.text and element.tag in (f"{NS}text", f"{NS}title", f"{NS}desc"):
            yield element.text


@pytest.mark.parametrize("name", DRAWN)
def test_no_word_of_a_drawing_escapes_its_reader(name: str) -> None:
    left = []
    for text in _said(DRAWN[name](Accented())):
        rest = text
        for own in OWN:
            rest = rest.replace(own, "")
        left += [text for word in PLAIN.findall(rest) if word not in UNITS]
        assert not METRIC.search(text), text
    assert left == []


@pytest.mark.parametrize("name", ["stack", "section", "section of the other pump"])
def test_labels_are_laid_out_by_the_words_that_are_read(name: str) -> None:
    svg = DRAWN[name](Accented(times=2))
    root = ElementTree.fromstring(svg)
    wide, high = (float(n) for n in root.attrib["viewBox"].split()[2:])
    labels = [t for g in root.iter(f"{NS}g") if "dw-label" in g.get("class", "")
              for t in g.iter(f"{NS}text")]  # fmt: skip
    assert len(labels) > 10
    for text in labels:
        x, room = float(text.attrib["x"]), text_width(text.text or "", 12)
        left = x - room if text.get("text-anchor") == "end" else x
        assert left >= -1, text.text
        assert left + room <= wide + 1, text.text
        assert float(text.attrib["y"]) <= high


@pytest.mark.parametrize("name", ["taken apart", "strip", "rebuild of the other pump"])
def test_words_twice_as_long_stay_on_the_sheet_of_an_act(name: str) -> None:
    root = ElementTree.fromstring(DRAWN[name](Accented(times=2)))
    texts = list(root.iter(f"{NS}text"))
    assert len(texts) > 20
    edge = TAKEN_APART_WIDE if name == "taken apart" else ACT_WIDE
    for text in texts:
        size = {"dw-big": 15.0, "dw-strong": 13.0}.get(text.attrib["class"].split()[-1], 12.0)
        room, x = text_width(text.text or "", size), float(text.attrib["x"])
        left = x - {"start": 0.0, "middle": room / 2}[text.attrib["text-anchor"]]
        assert left >= 0, text.text
        assert left + room <= edge + 1, text.text
