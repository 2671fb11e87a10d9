"""Fills the form of a whole pump by scaling a similar one to a few measured sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from starlette.requests import Request

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.proportion import MEASURE, KnownSizes, in_proportion
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.web.form_data import Texts, own_of, query_texts, read_noun
from wetend.web.forms import Form, FormSpec, ask, problems_of

_BESIDE = {"like"}


@dataclass(frozen=True)
class FewSizes:
    """The form for the few sizes, and the pump made from them once they are said."""

    form: Form
    made: Pump | None
    measure: tuple[str, ...] = MEASURE
    """What is a guess to be put right first."""


def typed_sizes(request: Request, own: System) -> tuple[Texts, System]:
    """The sizes in the page's address, and the units bare numbers are in; none where only a pump
    like it is named."""
    texts, system = own_of(query_texts(request), KnownSizes, own)
    return (texts if texts.keys() - _BESIDE else {}), system


def few_sizes(
    names: Mapping[str, str], texts: Texts, system: System, *, model: Pump | None = None
) -> FewSizes:
    """The form, and the pump in proportion to ``model`` where the sizes make one.

    Args:
        names: pumps to start from, by key.
        texts: sizes as typed; none for the blank form.
        system: the units bare numbers are in.
        model: the pump named as like it.
    """
    asked = FormSpec(
        KnownSizes,
        key="sizes",
        submit=Message("Fill in the rest"),
        choices={"like": names},
        long=frozenset({"like"}),
    )
    made, bad = None, None
    if texts:
        try:
            known = read_noun(KnownSizes, texts, system)
            if model is None:
                raise BadInput(Message("Choose the most similar build."))
            made = in_proportion(model, known)
        except BadInput as error:
            bad = error
    form = ask(asked, "/pumps/new", texts, system=system, problems=problems_of(bad))
    return FewSizes(form, made)
