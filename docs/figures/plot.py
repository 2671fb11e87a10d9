"""A figure of the theory pages: curves and published points over two scales, drawn by Matplotlib."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

INKS = ("#1b4965", "#b5541c", "#3d7a3a", "#7a3b69", "#555555", "#a07d00")
DASHES = ((0, ()), (0, (6, 3)), (0, (2, 2)), (0, (8, 3, 2, 3)), (0, (4, 2, 1, 2)), (0, (10, 4)))
STYLE = {
    "svg.hashsalt": "wetend", "svg.fonttype": "none", "font.family": "sans-serif", "font.size": 9.5,
    "axes.grid": True, "grid.color": "#d9d4c8", "grid.linewidth": 0.6, "axes.axisbelow": True,
    "figure.facecolor": "#fdfcf8", "axes.facecolor": "#fdfcf8", "text.color": "#222222",
    "lines.linewidth": 1.5, "lines.markersize": 5.5, "axes.edgecolor": "#222222",
}  # fmt: skip
"""The same bytes at every run: no date, ids from a fixed salt; letters stay text, in the reader's font."""


class Axis(NamedTuple):
    """A scale with its name, straight or logarithmic."""

    label: str
    low: float
    high: float
    log: bool = False


class Plot:
    """A chart that grows by curves and points."""

    def __init__(self, x: Axis, y: Axis) -> None:
        self.x, self.y = x, y
        with mpl.rc_context(STYLE):
            self.figure = Figure((6.2, 4.0), layout="constrained")
            self.axes = self.figure.subplots()
            self.axes.set(xlabel=x.label, ylabel=y.label, xlim=x[1:3], ylim=y[1:3],
                          xscale="log" if x.log else "linear", yscale="log" if y.log else "linear")  # fmt: skip
            for axis, scale in ((self.axes.xaxis, x), (self.axes.yaxis, y)):
                if scale.log and scale.high < 1000 * scale.low:
                    axis.set_major_locator(mpl.ticker.LogLocator(subs=(1, 2, 5)))
                    axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
                    axis.set_minor_locator(mpl.ticker.NullLocator())

    def curve(self, xs: Iterable[float], ys: Iterable[float], label: str = "", *, ink: int = 0, dash: int = 0) -> Plot:
        """A line through many places."""
        self.axes.plot(list(xs), list(ys), color=INKS[ink % 6], linestyle=DASHES[dash % 6], label=label or "_")
        return self

    def law(self, of: Callable[[np.ndarray], np.ndarray], label: str = "", *, ink: int = 0, dash: int = 0) -> Plot:
        """A function over the whole width."""
        xs = (np.geomspace if self.x.log else np.linspace)(self.x.low, self.x.high, 161)
        return self.curve(xs, np.asarray(of(xs), dtype=float), label, ink=ink, dash=dash)

    def points(self, xs: Sequence[float], ys: Sequence[float], label: str = "", *, ink: int = 1) -> Plot:
        """Published figures: open rings."""
        self.axes.plot(xs, ys, "o", color=INKS[ink % 6], markerfacecolor="white", label=label or "_", clip_on=False)
        return self

    def save(self, path: Path) -> None:
        """Write it as SVG, its legend below the chart."""
        with mpl.rc_context(STYLE):
            if told := self.axes.get_legend_handles_labels()[1]:
                self.figure.set_size_inches(6.2, 4.0 + 0.19 * len(told))
                self.figure.legend(loc="outside lower left", frameon=False)
            self.figure.savefig(path, metadata={"Date": None, "Creator": None})
