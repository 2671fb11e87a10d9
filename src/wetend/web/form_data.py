"""What a person typed, and nouns read from it.

Field names are dotted (``cylinder.bore``, ``hose.0.length``, ``heights.cage``), so a form of any
depth is one flat list of texts, and can be shown again just as it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import ValidationError
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from wetend.errors import BadInput, Problem
from wetend.units.fields import Field, explain, fields_of, ready
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun

NounT = TypeVar("NounT", bound=Noun)
Texts = Mapping[str, tuple[str, ...]]
UNITS_FIELD = "_units"
MORE_FIELD = "_more"
ACT_FIELD = "_act"
"""Id made when a form is drawn: sent twice it is kept once."""
WAS_FIELD = "_was"
"""JSON of what a form was filled with."""
_MOST_ROWS = 60


@dataclass(frozen=True)
class Typed:
    """What came with a form: texts and files by field name, and the units bare numbers are in."""

    path: str
    texts: Texts
    files: Mapping[str, bytes] = field(default_factory=dict)
    system: System = "metric"
    names: Mapping[str, str] = field(default_factory=dict)
    """Files' names as sent: data, never a path."""

    def last(self, name: str, default: str = "") -> str:
        """The last text sent under a name."""
        found = self.texts.get(name, ())
        return found[-1] if found else default

    def all(self, name: str) -> tuple[str, ...]:
        """Every text sent under a name that is not blank."""
        return tuple(t for t in self.texts.get(name, ()) if t.strip())

    @property
    def own(self) -> Texts:
        """The texts people typed, without the form's own hidden fields."""
        return {name: texts for name, texts in self.texts.items() if not name.startswith("_")}

    @property
    def for_resending(self) -> Texts:
        """What people typed, with what says which form it was and what it was filled with."""
        carried = {n: t for n, t in self.texts.items() if n in (ACT_FIELD, WAS_FIELD)}
        return {**self.own, **carried}


def clean(text: str) -> str:
    """Text fit to keep: no NUL, no lone surrogates, one kind of line end."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")
    return text.encode("utf-8", "replace").decode("utf-8")


async def typed_from(path: str, form: FormData, system: System) -> Typed:
    """What a form sent, by name; ``system`` is used where the form does not say its own."""
    texts: dict[str, tuple[str, ...]] = {}
    files: dict[str, bytes] = {}
    names: dict[str, str] = {}
    for name, value in form.multi_items():
        plain = clean(name)
        if isinstance(value, UploadFile):
            files[plain] = await value.read()
            names[plain] = clean(value.filename or "")[:200]
        else:
            texts[plain] = (*texts.get(plain, ()), clean(value))
    said = texts.get(UNITS_FIELD, ("",))[-1]
    meant: System = "imperial" if said == "imperial" else "metric" if said == "metric" else system
    return Typed(path, texts, files, meant, names)


def query_texts(request: Request) -> Texts:
    """Texts by name as a page's address gives them."""
    texts: dict[str, tuple[str, ...]] = {}
    for name, value in request.query_params.multi_items():
        texts[clean(name)] = (*texts.get(clean(name), ()), clean(value))
    return texts


def own_of(texts: Texts, noun: type[Noun], system: System) -> tuple[Texts, System]:
    """A noun's own among the texts of an address, and the units their bare numbers are in.

    Args:
        texts: of the address.
        noun: what is asked for.
        system: the units where the address does not say.
    """
    units = texts.get(UNITS_FIELD, ("",))[-1]
    said: System = "imperial" if units == "imperial" else "metric" if units else system
    return {n: t for n, t in texts.items() if n in noun.model_fields}, said


def _blank(texts: Texts, prefix: str, noun: type[Noun]) -> bool:
    """Whether nothing was typed in a group; what always carries a value does not count."""
    silent = {prefix + f.name for f in fields_of(noun) if f.shape in ("choice", "yes-no")}
    return not any(
        name.startswith(prefix) and name not in silent and any(t.strip() for t in values)
        for name, values in texts.items()
    )


def row_numbers(texts: Texts, name: str) -> tuple[int, ...]:
    """Numbers of the repeated rows present under a name, in order."""
    pattern = re.compile(rf"^{re.escape(name)}\.(\d{{1,3}})\.")
    found = {int(m[1]) for key in texts if (m := pattern.match(key))}
    return tuple(sorted(found))[:_MOST_ROWS]


def slug_of(name: str) -> str:
    """A short id made from a name.

    >>> slug_of("North Quay, No. 3")
    'north-quay-no-3'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:63].rstrip("-")


def with_key(texts: Texts) -> Texts:
    """The same texts, the short id made from the name where none was typed.

    Where there is no name either, the name alone is missed.
    """
    name = texts.get("name", ("",))[-1]
    if any(t.strip() for t in texts.get("key", ())):
        return texts
    return {**texts, "key": (slug_of(name) if name.strip() else "unnamed",)}


class _Reader:
    """Gathers the values of one noun from texts, noting every problem under its typed name."""

    def __init__(self, texts: Texts, system: System) -> None:
        self.texts, self.system = texts, system
        self.problems: list[Problem] = []
        self.rows: dict[str, tuple[int, ...]] = {}

    def gather(self, noun: type[Noun], prefix: str) -> dict[str, Any]:
        values = {}
        for known in fields_of(noun):
            found = self._value(known, prefix + known.name)
            if found is not None:
                values[known.name] = found
        return values

    def _value(self, known: Field, name: str) -> Any:
        if known.noun is not None and issubclass(known.noun, Noun):
            return self._nested(known.noun, name, many=known.many)
        if known.shape == "map":
            return self._map(name)
        sent = tuple(t for t in self.texts.get(name, ()) if t.strip())
        if not sent:
            return None
        if known.many and known.shape != "quantity" and len(sent) > 1:
            return tuple(t.strip() for t in sent)
        try:
            return ready(known, sent[-1], self.system)
        except BadInput as bad:
            self.problems.append(
                Problem(name, Message("{label}: {bad}", label=known.label, bad=bad))
            )
            return None

    def _nested(self, noun: type[Noun], name: str, *, many: bool) -> Any:
        if not many:
            return self.gather(noun, f"{name}.")
        kept = tuple(
            n for n in row_numbers(self.texts, name) if not _blank(self.texts, f"{name}.{n}.", noun)
        )
        self.rows[name] = kept
        return tuple(self.gather(noun, f"{name}.{n}.") for n in kept)

    def _map(self, name: str) -> dict[str, str] | None:
        start = f"{name}."
        found = {
            key[len(start) :]: texts[-1]
            for key, texts in self.texts.items()
            if key.startswith(start) and texts[-1].strip()
        }
        return found or None

    def placed(self, problem: Problem) -> Problem:
        """The same problem under the row number it was typed in."""
        for name, kept in self.rows.items():
            match = re.match(rf"^{re.escape(name)}\.(\d+)(.*)$", problem.field)
            if match and int(match[1]) < len(kept):
                return Problem(f"{name}.{kept[int(match[1])]}{match[2]}", problem.sentence)
        return problem


def read_noun(
    noun: type[NounT], texts: Texts, system: System, *, given: Mapping[str, Any] | None = None
) -> NounT:
    """Build a noun, however deep, from typed texts.

    Args:
        noun: what to build.
        texts: texts by dotted field name; blank means not given.
        system: the units meant by bare numbers.
        given: top-level values that were not typed but chosen some other way.

    Raises:
        BadInput: with one problem, under its dotted name, for every field that can't be read.
    """
    now = {word: name for word, (name, _) in noun.typed_as.items()}  # of pages drawn earlier
    reader = _Reader({now.get(name, name): sent for name, sent in texts.items()}, system)
    values = {**reader.gather(noun, ""), **(given or {})}
    unread = {p.field for p in reader.problems}
    try:
        built = noun.model_validate(values, context={"bare": system})
    except ValidationError as error:
        found = [
            reader.placed(p) for p in explain(error, noun, system=system, bare=system).problems
        ]
        fields = {p.field for p in found} | unread
        reader.problems += [
            p
            for p in found
            if p.field not in unread and not any(f.startswith(f"{p.field}.") for f in fields)
        ]
    if reader.problems:
        sentence = joined(" ", (p.sentence for p in reader.problems[:5]))
        raise BadInput(sentence, tuple(reader.problems))
    return built
