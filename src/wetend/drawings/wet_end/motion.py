"""Animated section of two wet ends side by side, positioned from a simulation.

What moves carries a ``data-`` name; :mod:`.wet_end_pose` says by how much. A page's script sets the
same attributes, so that a still and a moving drawing are one and the same.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from wetend.advice.simulation.film import CHANNELS, Film, Seen
from wetend.drawings.pen import Pen, band
from wetend.drawings.svg import WIDE, area, box, group, num, sheet, tag, words
from wetend.drawings.traces import NAMED
from wetend.drawings.wet_end import parts
from wetend.drawings.wet_end.pose import Scene, pose
from wetend.drawings.wet_end.sizes import Sizes, travelling
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.pump.description import Pump
from wetend.units.kinds import System
from wetend.units.message import Measure, Message, Words, joined
from wetend.units.parse import to_unit
from wetend.units.show import pretty

COLUMN = WIDE / 2
_REACH = COLUMN / 2 - 6
_TALL = 384.0
_STUB = 0.45
"""Length of the suction tube drawn, over its bore."""
READ: tuple[Seen, ...] = ("above", "below", "gauge", "gun", "outlet", "drawn")
"""The figures under each pump."""
_READ_AS: dict[Seen, str] = {
    "above": Message("above"), "below": Message("below"), "gauge": Message("gauge"),
    "gun": Message("gun"), "outlet": Message("out"), "drawn": Message("drawn in"),
}  # fmt: skip
_ARROW = [(-2.0, 10.0), (-2.0, -1.0), (-6.5, -1.0), (0.0, -10.0), (6.5, -1.0), (2.0, -1.0),
          (2.0, 10.0)]  # fmt: skip
_SHUT = 0.12
"""Share of its lift under which a ball counts as shut."""


def _greatest(films: Sequence[Film], keys: Sequence[Seen]) -> float:
    return max(float(abs(film[key]).max()) for film in films for key in keys)


@dataclass(frozen=True)
class _Column:
    """One pump laid out in its column."""

    pump: Pump
    pen: Pen
    s: Sizes
    scene: Scene

    @cached_property
    def fixed(self) -> str:
        """All that never moves."""
        pen, s = self.pen, self.s
        foot = (parts.housing(pen, s), parts.stack(pen, s, ball=False))
        return "".join((
            _tube(self), *(piece for group in foot for piece in group.values()),
            parts.cylinder(pen, s), parts.body(pen, s), *parts.gland(pen, s).values(),
            parts.static_packings(pen, self.pump, s),
        ))  # fmt: skip

    @cached_property
    def piston(self) -> str:
        """The piston without its ball."""
        return "".join(parts.piston(self.pen, self.pump, self.s, ball=False).values())


def _stub(s: Sizes) -> float:
    return s.foot.floor + 2 * _STUB * s.foot.inlet


def _layout(pump: Pump, film: Film, films: Sequence[Film]) -> _Column:
    lift = float(film["foot_lift"].max())
    most = max(lift, pump.foot_valve.lift_middle)
    s, travel = travelling(pump, most)
    top = s.body.cup_top + 0.5 * s.body.rod
    tall = top + _stub(s)
    scale = min(_REACH / max(s.left, s.foot.outer, s.body.cup), _TALL / tall)
    pen = Pen(COLUMN / 2, top * scale, scale, {})
    ring = next((r for r in s.foot.rings if r.kind == "cage"), None)
    stop = min(s.foot.stop, ring.high - 0.04 * (ring.high - ring.low)) if ring else s.foot.stop
    room = max(stop - s.foot.ball_z - s.foot.ball, 0.0)
    inside = s.piston.stop - s.piston.seat_low - s.piston.resting.centre - s.piston.ball
    highest = max(float(film["piston_lift"].max()), 1e-6)
    place = max(float(film["place"].max()), pump.stroke)
    return _Column(
        pump, pen, s,
        Scene(
            height=tall * scale,
            travel=travel * scale / place,
            foot=min(room / most, 1.0) * scale,
            lift=min(max(inside, 0.0) / highest, 1.0) * scale,
            roof=pen.at(0, s.body.throat)[1],
            seat=pen.at(0, s.piston.seat_low + 0.5 * s.piston.seat_height)[1],
            floor=pen.at(0, s.cylinder.low)[1],
            pressure=max(_greatest(films, ("above", "below")), 1e5),
            flow=max(_greatest(films, ("nozzle", "foot_flow")), 1e-9),
            foot_shut=_SHUT * most,
            piston_shut=_SHUT * highest,
        ),
    )  # fmt: skip


def _up(distance: float) -> str:
    return f"translate(0 {num(-distance)})"


def _arrow(name: str, x: float, y: float, size: float, *, leak: bool = False,
           turn: float = 0.0, small: float = 1.0) -> str:  # fmt: skip
    """An arrow that points up for a flow above zero; ``turn`` degrees round from that."""
    head = "dw-tone" if leak else "dw-ink-fill"
    shape = area(f"{head} dw-arrow", [(a * small, b * small) for a, b in _ARROW])
    moved = f"scale({num(abs(size))} {num(size)})"
    place = f"translate({num(x)} {num(y)})" + (f" rotate({num(turn)})" if turn else "")
    inner = tag("g", shape, transform=moved, data_arrow=name)
    return tag("g", inner, cls="dw-bad" if leak else "", transform=place)


def _liquid(name: str, posed: Mapping[str, float], *shapes: str) -> str:
    """Liquid of one space: a wash, and over it the tint of its pressure."""
    tinted = tag("g", *shapes, cls="dw-accent", data_liquid=name,
                 fill_opacity=f"{posed[f'tint-{name}']:.3f}")  # fmt: skip
    return group("dw-wash", *shapes) + tinted


def _liquids(c: _Column, posed: Mapping[str, float]) -> str:
    pen, s, scene = c.pen, c.s, c.scene
    f, b, bore = s.foot, s.body, s.cylinder.bore
    seat = next((r for r in f.rings if r.kind == "seat"), None)
    top = seat.high if seat else f.rings[0].high
    low = [r for r in f.rings if r.high <= top]
    high = [r for r in f.rings if r.high > top]
    tube = band(f.inlet, -_stub(s), 0.0)
    left, right = pen.at(-bore, 0)[0], 2 * bore * pen.scale
    seam = posed["seam"]

    def ring(r: float, bottom: float, end: float) -> str:
        return area("", pen.ring(band(r, bottom, end)))

    under, over = b.port_z - b.port, b.port_z + b.port
    port = [(-b.port_reach, under), (-bore, under), (-bore, over), (-b.port_reach, over)]
    below = tag("rect", x=left, y=seam, width=right, height=scene.floor - seam, data_fill="below")
    above = tag("rect", x=left, y=scene.roof, width=right, height=seam - scene.roof,
                data_fill="above")  # fmt: skip
    return (
        _liquid("suction", posed, area("", pen.ring(tube)), *(ring(r.inner, r.low, r.high)
                                                              for r in low))
        + _liquid("below", posed, below, *(ring(r.inner, r.low, r.high) for r in high))
        + _liquid("above", posed, above, area("", pen.ring(port)),
                  ring(1.05 * b.rod, b.throat, b.box_low))
    )  # fmt: skip


def _tube(c: _Column) -> str:
    """The suction tube, cut through."""
    f = c.s.foot
    return c.pen.turned(
        "suction-elbow",
        [(f.inlet, -f.floor), (f.inlet, -_stub(c.s)), (f.inlet + f.wall, -_stub(c.s)),
         (f.inlet + f.wall, -f.floor)],
    )  # fmt: skip


def _rod(c: _Column) -> str:
    """The rod, long enough to reach beyond the sheet at the top."""
    pen, s = c.pen, c.s
    top = s.body.cup_top + s.body.rod + 3.2 * s.cylinder.bore + c.pump.stroke
    spigot = band(0.56 * s.piston.neck, s.piston.port_high, s.piston.top)
    return pen.whole("rod", spigot) + pen.whole("rod", band(s.body.rod, s.piston.top, top))


def _moving(c: _Column, posed: Mapping[str, float]) -> str:
    pen, p = c.pen, c.s.piston
    ball = pen.ball("piston-ball", p.seat_low + p.resting.centre, p.ball)
    middle = pen.at(0, 0.5 * (p.port_low + p.port_high))
    side = 0.5 * (p.core + c.s.cylinder.bore) * pen.scale
    level = pen.at(0, p.packed)[1]
    leaks = "".join(
        _arrow("past", pen.axis + way * side, level, posed["arrow-past"], leak=True, small=1.3)
        for way in (-1, 1)
    )
    return tag(
        "g", c.piston,
        tag("g", ball, transform=_up(posed["ball"]), data_move="ball"), _rod(c), leaks,
        _arrow("piston", *middle, posed["arrow-piston"]),
        transform=_up(posed["piston"]), data_move="piston",
    )  # fmt: skip


def _foot_ball(c: _Column, posed: Mapping[str, float]) -> str:
    f = c.s.foot
    if not f.resting:
        return ""
    ball = c.pen.ball("foot-ball", f.ball_z, f.ball)
    return tag("g", ball, transform=_up(posed["foot"]), data_move="foot")


def _arrows(c: _Column, posed: Mapping[str, float]) -> str:
    pen, s = c.pen, c.s
    f, b = s.foot, s.body
    reach = 0.62 * f.inlet
    suction = pen.at(0, -_stub(s) + 11 / pen.scale)
    port = pen.at(-0.5 * (b.port_reach + s.cylinder.bore), b.port_z)
    drip = pen.at(-b.port_reach + 0.1 * b.outer, b.port_z - b.port)
    cup = pen.at(0, b.head_top)[1]
    leaks = "".join(
        _arrow("foot", pen.axis + way * reach * pen.scale, pen.at(0, 0.0)[1],
               posed["arrow-foot"], leak=True, small=1.7)
        + _arrow("rod", pen.axis + way * (b.rod * pen.scale + 7), cup, posed["arrow-rod"],
                 leak=True, small=1.3)
        for way in (-1, 1)
    )  # fmt: skip
    return (
        _arrow("drawn", *suction, posed["arrow-drawn"])
        + _arrow("outlet", *port, posed["arrow-outlet"], turn=-90)
        + _arrow("outside", drip[0], drip[1] + 10, posed["arrow-outside"], leak=True, turn=180)
        + leaks
    )


def _machine(c: _Column, posed: Mapping[str, float]) -> str:
    """The pump itself, in its column's own coordinates."""
    return (
        _liquids(c, posed) + c.fixed + _foot_ball(c, posed) + _moving(c, posed) + _arrows(c, posed)
    )


def _framed(c: _Column, posed: Mapping[str, float], x: float, y: float, width: float) -> str:
    """The machine in a frame that cuts off what sticks out at the top."""
    high = c.scene.height
    return tag(
        "svg", _machine(c, posed), x=x, y=y, width=width, height=high * width / COLUMN,
        viewBox=f"0 0 {num(COLUMN)} {num(high)}",
    )  # fmt: skip


def reading(key: Seen, value: float) -> Measure:
    """A figure to go with a moving drawing: pressures whole, flows to a tenth."""
    return Measure(_reading, key, value)


def _reading(key: Seen, value: float, system: System) -> str:
    channel = CHANNELS[key]
    spelling = channel.unit.shown_in(system)
    shown = to_unit(value, channel.unit.kind, spelling)
    digits = 0 if channel.unit.kind.si == "Pa" else 1
    text = f"{round(shown, digits) + 0.0:.{digits}f}".replace("-", "\N{MINUS SIGN}")
    return f"{text} {pretty(spelling)}"


def _readings(values: Mapping[Seen, float], x: float, y: float, say: Say) -> str:
    return "".join(
        words(say(_READ_AS[key]), x + 6, y + 15 * k, cls="dw-text dw-quiet")
        + tag("text", say(reading(key, values[key])), cls="dw-text dw-strong",
              x=x + COLUMN - 6, y=y + 15 * k, text_anchor="end", data_read=key)
        for k, key in enumerate(READ)
    )  # fmt: skip


def scenes(pump: Pump, this: Film, sound: Film) -> tuple[Scene, Scene]:
    """What a script needs to move the two columns of :func:`beside`."""
    films = (this, sound)
    return _layout(pump, this, films).scene, _layout(pump, sound, films).scene


def beside(
    pump: Pump, this: Film, sound: Film, *, time: float = 0.0, sound_time: float | None = None,
    reader: Words = AS_WRITTEN, named: tuple[str, str] = NAMED, title: str = "",
) -> str:  # fmt: skip
    """This pump and a sound one at one instant, side by side.

    Args:
        pump: as described.
        this: its run.
        sound: the sound pump's.
        time: of the instant.
        sound_time: of the sound pump's, where it is another.
        reader: who reads the words.
        named: what the two are called.
        title: of the drawing, where it is another.
    """
    say, films = saying(reader), (this, sound)
    times = (time, time if sound_time is None else sound_time)
    columns = [_layout(pump, film, films) for film in films]
    high = max(c.scene.height for c in columns)
    drawn = []
    for k, (c, film) in enumerate(zip(columns, films, strict=True)):
        values, x = film.at(times[k]), k * COLUMN
        posed = pose(c.scene, values)
        drawn.append(
            tag(
                "g", words(say(named[k]), x + COLUMN / 2, 14, anchor="middle",
                           cls="dw-text dw-strong"),
                _framed(c, posed, x, 22 + high - c.scene.height, COLUMN),
                _readings(values, x, high + 40, say), data_column=str(k),
            )
        )  # fmt: skip
    return sheet(
        say(title or Message("{pump} in motion, beside a sound pump", pump=pump.name)),
        say(
            Message(
                "Sections of both wet ends at the same instant. Darker tint: higher pressure; "
                "arrows show flow; leaks have arrows of their own colour."
            )
        ),
        *drawn,
        box("dw-rule", COLUMN - 0.01, 4, 0.02, high + 40 + 15 * len(READ) - 10),
        height=high + 40 + 15 * len(READ) - 6,
    )


def strip(
    pump: Pump, film: Film, sound: Film, stills: Sequence[tuple[str, float]], *,
    reader: Words = AS_WRITTEN,
) -> str:  # fmt: skip
    """Stills of this pump, three a row: what each is called, and its time.

    Raises:
        ValueError: there is no still.
    """
    if not stills:
        raise ValueError("a strip needs at least one still")
    say, c = saying(reader), _layout(pump, film, (film, sound))
    wide = WIDE / 3
    tall = c.scene.height * wide / COLUMN
    each = tall + 50
    drawn = []
    for k, (name, time) in enumerate(stills):
        values = film.at(time)
        x, y = (k % 3) * wide, (k // 3) * each
        drawn += [
            words(f"{k + 1} {say(name)}", x + wide / 2, y + 13, anchor="middle",
                  cls="dw-text dw-small dw-strong"),
            _framed(c, pose(c.scene, values), x, y + 18, wide),
            words(say(Message("{time:.2f} s, below", time=time)), x + wide / 2, y + tall + 31,
                  anchor="middle", cls="dw-text dw-small dw-quiet"),
            words(say(reading("below", values["below"])), x + wide / 2, y + tall + 44,
                  anchor="middle", cls="dw-text dw-small"),
        ]  # fmt: skip
    return sheet(
        say(Message("{pump} through a cycle", pump=pump.name)),
        say(
            joined(
                "; ",
                (
                    Message("{instant} at {time:.2f} s", instant=name, time=time)
                    for name, time in stills
                ),
            )
            + "."
        ),
        *drawn,
        height=each * math.ceil(len(stills) / 3),
    )
