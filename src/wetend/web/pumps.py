"""Pump pages: describe a pump in a form or TOML, show one with its history."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.drawings.wet_end import section as wet_end
from wetend.errors import BadInput, Problem
from wetend.pump.description import Pump
from wetend.pump.guesses import GUESS_WORDS, guess_line
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_schema, to_toml
from wetend.reports.qr import address_code
from wetend.units.decoding import decoded
from wetend.units.message import Message
from wetend.web.access import AtDesk, PumpKey, Sent
from wetend.web.choices import materials
from wetend.web.form_data import MORE_FIELD, Texts, Typed, read_noun, with_key
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.life import LifeSummary, life_summary
from wetend.web.pages import drawing, go, render
from wetend.web.stage import RejectedForm, form_for
from wetend.workflows import pumps as workflow
from wetend.workflows import removal
from wetend.workflows.desk import Desk

router = APIRouter()
STRIP_FIELD = "strip_like"
STRIP_LIKE = {
    "quay-air": Message("Threaded foot-valve housing"),
    "yard-hydraulic": Message("Clamp ring"),
}
"""Ways a pump comes apart that a description may take over, by the demo pump they come from."""
_MATERIALS = tuple(
    f"{valve}_valve.{part}_material" for valve in ("foot", "piston") for part in ("ball", "seat")
)
_GROUPS = {
    "limits": Message("Limits of the pump as a whole"), "drive": Message("Drive"),
    "hose": Message("Hoses"), "nozzle": Message("Nozzle"), "cylinder": Message("Cylinder"),
    "rod": Message("Rod"), "foot_valve": Message("Foot valve"),
    "piston_valve": Message("Piston valve"), "moving_packings": Message("Moving packings"),
    "static_packings": Message("Static packings"), "stack": Message("Stack of the foot valve"),
    "filter": Message("Outlet filter"), "suction": Message("Suction line"),
}  # fmt: skip
"""Groups of the whole form, each folded; one with a mistake is open."""
_ASKED = FormSpec(
    Pump,
    key="pump",
    submit=Message("Save this pump"),
    leave_out=frozenset({"strip", "guessed"}),
    first=("name",),
    not_needed=frozenset({"key"}),
    choices={name: materials() for name in _MATERIALS},
    labels={"key": Message("Short id"), "build": Message("Build, in a few words")},
    hints={
        "key": Message("Lower-case letters, digits and hyphens; blank: made from the name"),
        **dict.fromkeys(_MATERIALS, ""),
    },
    long=frozenset({"cylinder.limits_from", "rod.limits_from"}),
    sections=(
        Section(Message("The pump"),
                ("name", "key", "build", "site", "stroke", "mass", "aluminium")),
        *(Section(legend, (name,), folded=True, open=False) for name, legend in _GROUPS.items()),
    ),
)  # fmt: skip


@dataclass(frozen=True)
class PumpsPage:
    """A pump's page: its section, its sizes and its history."""

    stage: workflow.PumpView
    section: Markup
    life: LifeSummary
    removal: removal.RemovalView
    code: Markup
    """The QR code that opens this page."""
    address: str
    guessed: tuple[tuple[str, str], ...]
    """What is guessed of it: the group, and its words."""


@dataclass(frozen=True)
class DescribePage:
    """The form a pump is described in, and the TOML box beside it."""

    form: Form
    editing: bool
    strips: tuple[tuple[str, str], ...]
    strip: str
    strip_field: str
    toml: str
    toml_faults: tuple[str, ...]
    toml_action: str
    alike: tuple[tuple[str, str], ...]
    """Pumps to start from: address and name."""
    guesses: str
    """What is guessed of it still."""


@router.get("/pumps")
def listed() -> Response:
    """The pumps are listed on the first page."""
    return RedirectResponse("/", status_code=303)


@router.get("/pump-schema.json")
def schema() -> Response:
    """The JSON Schema of a pump's TOML."""
    return Response(json.dumps(pump_schema(), indent=1), media_type="application/schema+json")


def _describe_page(
    request: Request,
    desk: Desk,
    *,
    kept: Pump | None = None,
    like: Pump | None = None,
    again: RejectedForm | None = None,
    toml: tuple[str, tuple[str, ...]] = ("", ()),
) -> Response:
    action = f"/pumps/{kept.key}/edit" if kept else "/pumps/new"
    form = form_for(_ASKED, action, kept or like, again, system=desk.system)
    strips = dict(STRIP_LIKE)
    if kept:
        strips = {
            "as-kept": Message(
                "As it is now, {operations} operations", operations=len(kept.strip.operations)
            ),
            **strips,
        }
    sent = again.typed.last(STRIP_FIELD) if again else ""
    alike = {} if kept else _alike(desk)
    page = DescribePage(
        form=form,
        editing=kept is not None,
        strips=tuple(strips.items()),
        strip=sent if sent in strips else next(iter(strips)),
        strip_field=STRIP_FIELD,
        toml=toml[0],
        toml_faults=toml[1],
        toml_action="/pumps/toml",
        alike=tuple((f"/pumps/new/full?like={k}", n) for k, n in alike.items()),
        guesses=guess_line(kept) if kept else "",
    )
    bad = bool(toml[1] or (again and again.bad))
    title = Message("Edit {name}", name=kept.name) if kept else Message("Describe a pump")
    return render(request, "describe.html", page, title=title, status=422 if bad else 200)


def _alike(desk: Desk) -> dict[str, str]:
    """Pumps a description may start from, the demo pumps and the depot's own: keys and names."""
    own = {pump.key: pump.name for pump in workflow.described(desk)}
    demo = {
        key: Message("{build} (example)", build=demo_pump(key).build.capitalize())
        for key in DEMO_PUMPS
    }
    return {**demo, **own}


def _model(desk: Desk, like: str) -> Pump | None:
    """The pump to start from; ``None`` where none is named or there is none such."""
    if like in DEMO_PUMPS:
        return demo_pump(like)
    return next((pump for pump in workflow.described(desk) if pump.key == like), None)


def _strip_of(typed: Typed, kept: Pump | None) -> dict[str, Any]:
    chosen = typed.last(STRIP_FIELD)
    if chosen in STRIP_LIKE:
        return demo_pump(chosen).strip.model_dump()
    if kept is not None:
        return kept.strip.model_dump()
    problem = Problem(STRIP_FIELD, Message("Choose how the pump comes apart."))
    raise BadInput(problem.sentence, (problem,))


def _texts(typed: Typed, kept: Pump | None) -> Texts:
    """The texts typed, with a short id made from the name where none is given."""
    texts = {n: t for n, t in typed.own.items() if n != STRIP_FIELD}
    if kept is not None:
        return {**texts, "key": (kept.key,)}
    return with_key(texts)


def _read(typed: Typed, kept: Pump | None) -> Pump:
    pump = read_noun(
        Pump, _texts(typed, kept), typed.system, given={"strip": _strip_of(typed, kept)}
    )
    if pump.key in workflow.RESERVED:
        sentence = Message(
            "Short id: “{key}” is reserved by the pages; choose another.", key=pump.key
        )
        raise BadInput(sentence, (Problem("key", sentence),))
    return pump


def _faults(bad: BadInput) -> tuple[str, ...]:
    """Every fault found, a sentence each."""
    return tuple(p.sentence for p in bad.problems) or (str(bad),)


@router.get("/pumps/new/full")
def new(
    request: Request, desk: AtDesk, like: Annotated[str, Query(max_length=80)] = ""
) -> Response:
    """The whole form for a pump not in the depot yet: blank, or as one like it."""
    model = _model(desk, like)
    blank = model and model.model_copy(update={"key": "", "name": "", "site": ""})
    return _describe_page(request, desk, like=blank)


@router.post("/pumps/new")
def keep_new(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save a pump described in the form."""
    if typed.last(MORE_FIELD):
        return _describe_page(request, desk, again=RejectedForm("pump", typed))
    try:
        pump = workflow.describe(desk, _read(typed, None), new=True)
    except BadInput as bad:
        return _describe_page(request, desk, again=RejectedForm("pump", typed, bad))
    return go(f"/pumps/{pump.key}", saved="pump")


@router.post("/pumps/toml")
def keep_toml(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save a pump described in TOML, pasted or sent as a file."""
    sent = typed.files.get("file", b"")
    text = typed.last("toml")
    try:
        if sent:
            text = decoded(sent)
        pump = workflow.describe_toml(desk, text, new=True)
    except BadInput as bad:
        return _describe_page(request, desk, toml=(text, _faults(bad)))
    return go(f"/pumps/{pump.key}", saved="pump")


@router.get("/pumps/{key}.toml")
def download(desk: AtDesk, key: PumpKey) -> Response:
    """A pump's description as a TOML file."""
    pump = desk.pump(key)
    headers = {"Content-Disposition": f'attachment; filename="{pump.key}.toml"'}
    return Response(to_toml(pump), media_type="application/toml; charset=utf-8", headers=headers)


@router.get("/pumps/{key}/edit")
def edit(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """The form filled with a pump as described."""
    return _describe_page(request, desk, kept=desk.pump(key))


@router.post("/pumps/{key}/edit")
def keep_edit(request: Request, desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Save a pump described again; what was described before stays in the record."""
    kept = desk.pump(key)
    if typed.last(MORE_FIELD):
        return _describe_page(request, desk, kept=kept, again=RejectedForm("pump", typed))
    try:
        workflow.put_right(desk, key, _read(typed, kept))
    except BadInput as bad:
        return _describe_page(request, desk, kept=kept, again=RejectedForm("pump", typed, bad))
    return go(f"/pumps/{key}", saved="pump")


@router.get("/pumps/{key}")
def show(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """A pump with its history."""
    view = workflow.view(desk, key)
    address = str(request.url.replace(path=f"/pumps/{key}", query="", fragment=""))
    page = PumpsPage(
        view,
        drawing(wet_end.section(view.pump, reader=desk.reader)),
        life_summary(desk, view.pump),
        removal.view(desk, key),
        drawing(address_code(address)),
        address,
        tuple((part, GUESS_WORDS[part]) for part in view.pump.guessed),
    )
    return render(request, "pump.html", page, title=view.pump.name)


@router.post("/pumps/{key}/measured")
def measured(desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Save that some guesses were measured and are right."""
    workflow.measured(desk, key, typed.texts.get("part", ()))
    return go(f"/pumps/{key}", saved="1", anchor="guesses")


@router.post("/pumps/{key}/remove")
def remove(desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Remove a pump from the lists, or restore it; all that depends on it stays."""
    if typed.last("do") == "restore":
        removal.restore(desk, key)
        return go(f"/pumps/{key}", saved="back")
    removal.remove(desk, key, typed.last("reason"))
    return go(f"/pumps/{key}", saved="removed")
