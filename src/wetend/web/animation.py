"""The animated section: two wet ends side by side, and the data that animates them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from wetend.advice.simulation.film import CHANNELS, Film
from wetend.drawings import traces
from wetend.drawings.wet_end import motion as wet_end_motion
from wetend.pump.description import Pump
from wetend.units.kinds import System
from wetend.units.message import Words
from wetend.units.parse import to_unit
from wetend.units.show import pretty
from wetend.web.pages import drawing


@dataclass(frozen=True)
class Reel:
    """An animated drawing and its data."""

    still: Markup
    """Both wet ends at the first instant."""
    data: Markup
    """What the script moves the drawing by, as JSON."""


def _film(film: Film) -> dict[str, Any]:
    """A run as small integers: differences between instants, and the step size."""
    channels: dict[str, Any] = {}
    for key, row in (("t", film.t), *film.values.items()):
        grain = max(float(abs(row).max()) / 2000, 1e-15)
        counts = [round(float(v) / grain) for v in row]
        channels[key] = [grain, *(b - a for a, b in zip([0, *counts], counts, strict=False))]
    return channels


def _data(pump: Pump, this: Film, sound: Film, system: System) -> dict[str, Any]:
    """What a script needs to move the drawing and the cursors."""
    scenes = wet_end_motion.scenes(pump, this, sound)
    films = (this, sound)
    reads = {}
    for key in wet_end_motion.READ:
        unit = CHANNELS[key].unit
        spelling = unit.shown_in(system)
        digits = 0 if unit.kind.si == "Pa" else 1
        reads[key] = [to_unit(1.0, unit.kind, spelling), digits, pretty(spelling)]
    return {
        "columns": [
            {"scene": vars(scene), "film": _film(film)}
            for scene, film in zip(scenes, films, strict=True)
        ],
        "reads": reads,
        "seconds": max(this.length, 1e-6),
        "across": traces.RIGHT - traces.LEFT,
    }


def _json(data: dict[str, Any]) -> Markup:
    """Numbers and our own names as JSON that can't end its script element."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return Markup(text.replace("<", "\\u003c"))  # noqa: S704 - no text of people's is in it


def reel_of(pump: Pump, this: Film, sound: Film, reader: Words) -> Reel:
    """This pump and a sound one, ready to be moved."""
    return Reel(
        drawing(wet_end_motion.beside(pump, this, sound, reader=reader)),
        _json(_data(pump, this, sound, reader.system)),
    )
