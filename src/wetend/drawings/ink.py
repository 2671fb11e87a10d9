"""How drawings are inked: line weights, hatching, colours; on the page and on paper.

Line weights follow the line groups of DIN EN ISO 128-20 (narrow, wide and extra-wide as 1:2:4):
printed 110 mm wide, a drawing's outline is 0.5 mm and its thin line 0.25 mm. Hues start from the
colour-blind-safe palette of Okabe and Ito ("Color Universal Design", 2008, from memory), darkened
until each reaches 4.5:1 against the paper.

A page may set any ``--dw-*`` property, as in a mode of full contrast; without one the fallback
holds. Printing knows no such properties: :func:`standalone` puts plain colours in their place.
"""

from __future__ import annotations

import re

COLOURS: dict[str, str] = {
    "ink": "#1b1f24",
    "paper": "#fdfcf8",
    "faint": "#5f666d",
    "rule": "#c9c9c1",
    "metal": "#f1efe6",
    "steel": "#e3e6e8",
    "wash": "#dbe8f0",
    "soft": "#5b6b78",
    "soft-pale": "#b9c4cc",
    "wash-pale": "#e8f0ee",
    "accent": "#0b5c8f",
    "accent-pale": "#bcd6e6",
    "good": "#00694c",
    "good-pale": "#cfe6dc",
    "turn": "#0b5c8f",
    "turn-pale": "#cfe0ee",
    "dress": "#7d5700",
    "dress-pale": "#f3e2b8",
    "bad": "#b03a00",
    "bad-pale": "#f9dccb",
    "ask": "#8b2f6b",
    "ask-pale": "#efd5e5",
    "none": "#5f666d",
    "none-pale": "#e3e3dd",
}
"""Every colour of the drawings: name to plain colour."""

_ON_PAGE = """
.dw{display:block;width:100%;height:auto;max-width:36rem}
.dw.dw-stock{position:absolute;width:0;height:0}
.dw.dw-act,.dw.dw-wrong,.dw.dw-measure{max-width:24rem}
.dw.dw-mark{display:inline-block;width:1.35em;height:1.35em;vertical-align:-.3em}
"""
_RULES = """
.dw text{font-family:var(--dw-font);font-size:12px;fill:var(--dw-ink)}
.dw.dw-measure text,.dw.dw-look text{font-size:13px}
.dw .dw-small{font-size:11px}
.dw .dw-strong{font-weight:700}
.dw .dw-big{font-size:15px;font-weight:700}
.dw .dw-huge{font-size:26px;font-weight:700}
.dw .dw-quiet{fill:var(--dw-faint)}
.dw .dw-band{fill:var(--dw-accent-pale)}
.dw .dw-accent-text{fill:var(--dw-accent)}
.dw .dw-inverse{fill:var(--dw-paper)}
.dw .dw-outline{fill:none;stroke:var(--dw-ink);stroke-width:1.5;ROUND}
.dw .dw-edge{stroke:var(--dw-ink);stroke-width:1.5;ROUND}
.dw .dw-edge-thin{stroke:var(--dw-ink);stroke-width:.75;ROUND}
.dw .dw-thin{fill:none;stroke:var(--dw-ink);stroke-width:.75;ROUND}
.dw .dw-fine{fill:none;stroke:var(--dw-ink);stroke-width:.55}
.dw .dw-rule{fill:none;stroke:var(--dw-rule);stroke-width:.9}
.dw .dw-hatch{fill:none;stroke:var(--dw-ink);stroke-width:.5;stroke-opacity:.8}
.dw .dw-centre{fill:none;stroke:var(--dw-ink);stroke-width:.8;stroke-dasharray:11 2.2 1.6 2.2}
.dw .dw-halo{fill:none;stroke:var(--dw-paper);stroke-width:4.5;stroke-linecap:round}
.dw .dw-hidden{fill:none;stroke:var(--dw-ink);stroke-width:.8;stroke-dasharray:4 2}
.dw .dw-phantom{fill:none;stroke:var(--dw-ink);stroke-width:.8;stroke-dasharray:9 2 1.5 2 1.5 2}
.dw .dw-leader{fill:none;stroke:var(--dw-faint);stroke-width:.75}
.dw .dw-dot{fill:var(--dw-ink);stroke:var(--dw-paper);stroke-width:.8}
.dw .dw-ink-fill{fill:var(--dw-ink)}
.dw .dw-paper-fill{fill:var(--dw-paper)}
.dw .dw-metal{fill:var(--dw-metal)}
.dw .dw-steel{fill:var(--dw-steel)}
.dw .dw-wash{fill:var(--dw-wash)}
.dw .dw-soft-pale{fill:var(--dw-soft-pale)}
.dw .dw-wash-pale{fill:var(--dw-wash-pale)}
.dw .dw-soft{fill:var(--dw-soft)}
.dw .dw-accent{fill:var(--dw-accent)}
.dw .dw-accent-pale{fill:var(--dw-accent-pale)}
.dw .dw-accent-line{fill:none;stroke:var(--dw-accent);stroke-width:1.8;stroke-linecap:round}
.dw .dw-accent-mid{fill:none;stroke:var(--dw-accent);stroke-width:2.2;ROUND}
.dw .dw-sound{fill:none;stroke:var(--dw-ink);stroke-width:1;stroke-dasharray:4 2.5;ROUND}
.dw .dw-arrow{stroke:var(--dw-paper);stroke-width:1;ROUND}
.dw .dw-accent-thick{fill:none;stroke:var(--dw-accent);stroke-width:3.4;ROUND}
.dw .dw-still{opacity:.42}
.dw .dw-ghost{opacity:.2}
.dw .dw-open{fill:none}
.dw.dw-tray{max-width:24rem}
.dw .dw-risk{fill:none;stroke:var(--dw-bad);stroke-width:3;ROUND}
.dw .dw-tick{fill:none;stroke:var(--dw-bad);stroke-width:1.1}
.dw .dw-shielded{fill:none;stroke:var(--dw-ink);stroke-width:1.4;stroke-dasharray:5 3}
.dw-piece *{vector-effect:non-scaling-stroke}
"""
_TONES = """
.dw .dw-TONE .dw-tone{fill:var(--dw-TONE)}
.dw .dw-TONE .dw-tone-line{fill:none;stroke:var(--dw-TONE);stroke-width:1.8;ROUND}
.dw .dw-TONE .dw-tone-thick{fill:none;stroke:var(--dw-TONE);stroke-width:2.4;ROUND}
.dw .dw-TONE .dw-tone-cut{fill:none;stroke:var(--dw-paper);stroke-width:2.4;ROUND}
.dw .dw-TONE .dw-tone-pale{fill:var(--dw-TONE-pale)}
.dw .dw-TONE .dw-tone-text{fill:var(--dw-TONE)}
"""
_TONE_NAMES = ("good", "turn", "dress", "bad", "ask", "none")
_FONTS = {
    "page": 'system-ui,"Segoe UI",Roboto,"Helvetica Neue",Arial,sans-serif',
    "paper": "'DejaVu Sans Mono'",
}
_PROPERTY = re.compile(r"var\(--dw-([a-z-]+)\)")


def _style(values: dict[str, str], *, live: bool) -> str:
    tones = "".join(_TONES.replace("TONE", tone) for tone in _TONE_NAMES)
    rules = (_ON_PAGE if live else "") + _RULES + tones
    rules = rules.replace("ROUND", "stroke-linejoin:round;stroke-linecap:round")
    whole = {**values, "font": _FONTS["page" if live else "paper"]}

    def put(match: re.Match[str]) -> str:
        name = match[1]
        return f"var(--dw-{name},{whole[name]})" if live else whole[name]

    return _PROPERTY.sub(put, rules).strip() + "\n"


INK_CSS = _style(COLOURS, live=True)
"""Style sheet for drawings on a page."""
PAPER_CSS = _style(COLOURS, live=False)
"""The same with plain colours and the face that reports are set in."""


def _in_black(colour: str) -> str:
    """Black for what is drawn with, white for what is filled, by its luminance (ITU-R BT.601)."""
    red, green, blue = (int(colour[n : n + 2], 16) for n in (1, 3, 5))
    return "#ffffff" if 0.299 * red + 0.587 * green + 0.114 * blue > 160 else "#000000"


BLACK_CSS = _style(
    {name: _in_black(c) for name, c in COLOURS.items()} | {"rule": "#000000"}, live=False
)
"""The same in black on white alone."""


def standalone(svg: str, *, black: bool = False) -> str:
    """A drawing that carries its own ink, for PDF and for files; in black on white if asked.

    Raises:
        ValueError: not a drawing made here.
    """
    start, found, rest = svg.partition("</desc>")
    if not found or not svg.startswith("<svg "):
        raise ValueError("only a whole drawing can be made to stand alone")
    return f"{start}{found}<style>{BLACK_CSS if black else PAPER_CSS}</style>{rest}"
