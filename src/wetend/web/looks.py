"""What the part chosen may look like: pictures that each propose values for its form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from wetend.advice.inspect.looks.look import Look
from wetend.advice.inspect.looks.table import looks_of
from wetend.advice.reasons import Verdict
from wetend.drawings.looks.draw import picture
from wetend.errors import NotFound
from wetend.pump.measurements import SeatMeasured
from wetend.records.fold import Visit
from wetend.units.kinds import System
from wetend.units.message import Message, Words, tell
from wetend.units.noun import Noun
from wetend.web.form_data import Texts
from wetend.web.forms import Form, FormSpec, ask, default_texts, texts_of
from wetend.web.pages import drawing

_FINE, _WHOLE = 3, 5
"""Significant figures of a mark's size, and of a size whose wear counts."""
_SIZES = frozenset({"diameters", "free_height"})
PROPOSED = Message("Proposed by the picture: measure, then correct it")
"""What is said of a field that a picture fills in."""


@dataclass(frozen=True)
class LookCard:
    """One picture to choose."""

    key: str
    title: str
    verdict: Verdict
    path: str
    svg: Markup
    chosen: bool


@dataclass(frozen=True)
class Proposal:
    """What the picture chosen proposes."""

    title: str
    verdict: Verdict
    sure: str


def looks_for(visit: Visit, part: str, kept: Noun | None) -> tuple[Look, ...]:
    """What a part may look like on this visit's pump, in its coating."""
    used = kept.faces_used if isinstance(kept, SeatMeasured) else 0
    return looks_of(visit.pump, visit.coating, part, faces_used=used)


def chosen_of(looks: tuple[Look, ...], key: str) -> Look | None:
    """The look asked for by its key; none where none is asked for.

    Raises:
        NotFound: this part has no such look.
    """
    if not key:
        return None
    found = next((look for look in looks if look.key == key), None)
    if found is None:
        raise NotFound(Message("There is no such picture of this part. Choose one from the page."))
    return found


def cards(
    visit: Visit, part: str, looks: tuple[Look, ...], chosen: Look | None, reader: Words
) -> tuple[LookCard, ...]:
    """The pictures to choose from."""
    path = f"/visits/{visit.id}/inspect?part={part}"
    return tuple(
        LookCard(
            look.key, look.title, look.verdict, f"{path}&like={look.key}#proposal",
            drawing(picture(visit.pump, part, look, reader=reader)), look is chosen,
        )
        for look in looks
    )  # fmt: skip


def _short(text: str, digits: int) -> str:
    """Figures of a text, separated by commas, to so many places; words stand."""
    found = []
    for each in text.split(", "):
        try:
            found.append(f"{float(each):.{digits}g}")
        except ValueError:
            found.append(each)
    return ", ".join(found)


def proposed_texts(look: Look, system: System) -> dict[str, tuple[str, ...]]:
    """What a look puts into its form, as it would be typed."""
    texts = texts_of(look.measured, system)
    return {
        name: tuple(_short(text, _WHOLE if name in _SIZES else _FINE) for text in texts[name])
        for name in look.fields
        if name in texts
    }


def proposed_form(
    spec: FormSpec, action: str, kept: Noun | None, look: Look, *, system: System, reader: Words
) -> Form:
    """The form as kept, the look's values in it and marked as proposals; nothing is saved."""
    own = proposed_texts(look, system)
    note = Message("As in the picture “{title}”; not measured", title=look.title)
    usual: Texts = texts_of(kept, system) if kept else default_texts(spec.noun, system)
    texts: dict[str, tuple[str, ...]] = {**usual, **own, "note": (str(tell(note, reader)),)}
    hints: Mapping[str, str] = {**spec.hints, **dict.fromkeys((*own, "note"), PROPOSED)}
    key = f"{spec.key}-as-{look.key}"  # what was typed into the plain form stays kept for that one
    form = ask(replace(spec, key=key, hints=hints), action, texts, system=system)
    return replace(form, was=kept.model_dump_json(exclude_unset=True) if kept else "null")
