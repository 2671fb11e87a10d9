"""The owner's catalogue: part numbers, suppliers, prices, stock on shelf and in the van."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.stores.shelf import Stocked
from wetend.errors import BadInput
from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.usage import FITTED_WORDS
from wetend.units.message import Message, joined
from wetend.web.access import AtDesk, Sent
from wetend.web.form_data import Texts, query_texts, read_noun
from wetend.web.forms import Form, FormSpec, sentence
from wetend.web.pages import go, render
from wetend.web.stage import RejectedForm, form_for
from wetend.workflows import catalogue as workflow
from wetend.workflows import catalogue_files as files
from wetend.workflows.desk import Desk

router = APIRouter()
WAS_NUMBER = "_number"
MOST_TO_TICK = 40
"""Pumps up to which they are ticked; of more their keys are typed."""
ITEM = FormSpec(
    CatalogueItem, key="item", submit=Message("Save this item"),
    choices={"parts": {part: sentence(words) for part, words in FITTED_WORDS.items()}},
    hints={"price": Message("In your own currency, like all prices here")},
)  # fmt: skip


@dataclass(frozen=True)
class ItemsPage:
    """The catalogue: its items, and the form of one."""

    items: tuple[Stocked, ...]
    form: Form
    was: str
    """Number of the item in the form, if it is one kept already."""
    names: dict[str, str]
    """Pumps' names by key."""
    fault: str
    parts: dict[str, str]


def _asked(known: dict[str, str]) -> FormSpec:
    """The form, the pumps to tick where they are few."""
    if not known or len(known) > MOST_TO_TICK:
        hints = {**ITEM.hints, "pumps": Message("Their keys, separated by commas")}
        return replace(ITEM, hints=hints)
    return replace(ITEM, choices={**ITEM.choices, "pumps": known})


def _begun(texts: Texts) -> CatalogueItem | None:
    """An item begun for a part that has no number yet, as the address names it."""
    parts = [p for p in FITTED_WORDS if p in texts.get("part", ())]
    pumps = [p for p in texts.get("pump", ()) if p]
    if not parts:
        return None
    size = texts.get("size", ("",))[-1]
    name = joined(" ", filter(None, (FITTED_WORDS[parts[0]], size[:50])))
    return CatalogueItem.model_construct(
        number="", name=sentence(name), parts=tuple(parts), pumps=tuple(pumps)
    )


def _page(
    request: Request, desk: Desk, again: RejectedForm | None = None, *, fault: str = ""
) -> Response:
    texts = query_texts(request) if request.method == "GET" else {}
    seen = workflow.view(desk)
    names = {pump.key: pump.name for pump in seen.pumps}
    number = texts.get("number", ("",))[-1]
    kept = next((s.item for s in seen.items if s.item.number == number), None)
    was = again.typed.last(WAS_NUMBER) if again else (kept.number if kept else "")
    form = form_for(
        _asked(names), "/stores/items", kept or _begun(texts), again, system=desk.system
    )
    page = ItemsPage(seen.items, form, was, names, fault, dict(FITTED_WORDS.items()))
    wrong = fault or (again and again.bad)
    return render(
        request, "items.html", page, title=Message("Catalogue"), status=422 if wrong else 200
    )


@router.get("/stores/items")
def show(request: Request, desk: AtDesk) -> Response:
    """The catalogue, with the form for a new item or for the one the address names."""
    return _page(request, desk)


@router.post("/stores/items")
def save(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save one item."""
    try:
        item = read_noun(CatalogueItem, typed.own, typed.system)
        workflow.save(desk, item, was=typed.last(WAS_NUMBER))
    except BadInput as bad:
        return _page(request, desk, RejectedForm("item", typed, bad))
    return go("/stores/items", saved="1", anchor="items")


@router.post("/stores/items/count")
def count(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save what was counted of one item."""
    try:
        workflow.count(desk, read_noun(StockCounted, typed.own, typed.system))
    except BadInput as bad:
        return _page(request, desk, fault=str(bad))
    return go("/stores/items", saved="1", anchor="items")


@router.post("/stores/items/drop")
def drop(desk: AtDesk, typed: Sent) -> Response:
    """Take one item out."""
    workflow.drop(desk, typed.last("number"))
    return go("/stores/items", saved="1", anchor="items")


@router.post("/stores/items/file")
def bring_in(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Import a catalogue, all or nothing."""
    try:
        files.bring_in(desk, typed.files.get("file", b""))
    except BadInput as bad:
        return _page(request, desk, fault=str(bad))
    return go("/stores/items", saved="1", anchor="items")


def _file(name: str, text: str, media: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=f"{media}; charset=utf-8", headers=headers)


@router.get("/stores/items.csv")
def as_csv(desk: AtDesk) -> Response:
    """The catalogue as CSV."""
    return _file("catalogue.csv", files.take_out(desk, as_toml=False), "text/csv")


@router.get("/stores/items.toml")
def as_toml(desk: AtDesk) -> Response:
    """The catalogue as TOML."""
    return _file("catalogue.toml", files.take_out(desk, as_toml=True), "application/toml")
