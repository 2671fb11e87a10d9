"""Renders pages: shared context, templates and their filters.

Autoescape is always on; only drawings of our own making, in which people's text is escaped already,
pass as markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from urllib.parse import urlencode

import jinja2
from markupsafe import Markup, escape
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from wetend.advice.diagnosis.words import right_text
from wetend.advice.life.next_repack import (
    do_text,
    likely_text,
    volume_span_text,
    volume_text,
)
from wetend.advice.life.outlook import act_text, odds_text
from wetend.advice.reasons import Caution, Figure, Interval, Verdict, Working
from wetend.advice.safety.hazards import Hazard, but, caution, for_screen
from wetend.drawings import verdict as verdict_shapes
from wetend.keeping import constant
from wetend.pump.usage import PART_WORDS, LifePart
from wetend.records.photos import PhotoShelf
from wetend.records.store import Depot
from wetend.reports.order_list import money
from wetend.telling.reader import Reader
from wetend.units import quantity
from wetend.units.kinds import System
from wetend.units.message import Message, Text, plural, tell
from wetend.units.quantity import S, Unit, unit_of
from wetend.units.show import (
    SHORT_MONTHS,
    chance_text,
    day_text,
    gauge,
    minutes_text,
    months_text,
    number,
    pretty,
    rough,
    rough_span,
    rounded,
    show,
    span_text,
    stood_text,
    whole,
)
from wetend.web.form_data import UNITS_FIELD
from wetend.web.forms import exact, new_act, sentence
from wetend.web.last_saved import LastSaved, last_saved
from wetend.web.person import Person, person_of
from wetend.web.security import FORM_COOKIE, PASS_COOKIE, TOKEN_FIELD, TokenSigner
from wetend.web.stage_nav import RailItem
from wetend.web.static import STATIC_VERSION
from wetend.web.template_messages import TemplateMessages
from wetend.workflows.calculators import of_working
from wetend.workflows.desk import Desk
from wetend.workflows.pumps import nearby


@dataclass(frozen=True)
class PageContext:
    """Shared context of every page: person, navigation, notices."""

    title: str
    person: Person
    token: str
    here: str
    """Path and query of this page, to come back to."""
    notice: str
    rail: tuple[RailItem, ...]
    locked: bool
    """Whether a passcode guards the pages."""
    visit: str = ""
    """The visit this page is of; blank for another."""
    warnings: tuple[str, ...] = ()
    """What is wrong with the depot, a sentence each."""
    photos: PhotoShelf | None = None
    undo: LastSaved | None = None
    """What was saved just now and can be taken back."""
    pumps: tuple[tuple[str, str], ...] = ()
    """Pumps at hand, for the navigation: keys and names."""
    version: str = STATIC_VERSION
    go_on: str = ""
    """What comes next in this visit, on a stage's page; blank elsewhere."""


def _unit(named: Unit | str) -> Unit:
    return unit_of(getattr(quantity, named)) if isinstance(named, str) else named


def _reader(context: jinja2.runtime.Context) -> Reader:
    page = context.get("page")
    return page.person.reader if isinstance(page, PageContext) else Reader()


def _system(context: jinja2.runtime.Context) -> System:
    system: System = context["page"].person.system
    return system


@jinja2.pass_context
def _show(context: jinja2.runtime.Context, value: float | None, unit: Unit | str) -> str:
    return Message("not known") if value is None else show(value, _unit(unit), _system(context))


@jinja2.pass_context
def _gauge(context: jinja2.runtime.Context, value: float, at_most: bool = False) -> str:
    return gauge(value, unit_of(quantity.Pa), _system(context), at_most=at_most)


@jinja2.pass_context
def _exact(context: jinja2.runtime.Context, value: float, unit: Unit | str) -> str:
    system, plain = _system(context), _unit(unit)
    return f"{exact(value, plain, system)} {pretty(plain.shown_in(system))}".strip()


@jinja2.pass_context
def _tell(context: jinja2.runtime.Context, value: object) -> object:
    """A value of a page for its reader; people's own text stands."""
    return tell(value, _reader(context))


def _word(code: str) -> str:
    """The word for a code that the record holds, such as a verdict's."""
    if isinstance(code, Text | Markup):
        return code
    return Message(str(getattr(code, "value", code)))


@jinja2.pass_context
def _gettext(context: jinja2.runtime.Context, message: str, /, **values: object) -> Markup:
    """A text of a template, which is markup, with its values, which are not."""
    reader = _reader(context)
    said = {name: tell(value, reader) for name, value in values.items()}
    return Markup(reader.gettext(message)) % said  # noqa: S704 - a text of our own templates


def weekday(day: date) -> str:
    """A day of a plan: ``"Tue 1 Dec"``."""
    return Message(
        "{weekday} {day} {month}",
        weekday=_WEEKDAYS[day.weekday()],
        day=day.day,
        month=SHORT_MONTHS[day.month - 1],
    )


def part_words(key: str) -> str:
    """What a part whose life is followed is called."""
    return PART_WORDS.get(cast("LifePart", key), key)


@jinja2.pass_context
def _joined(context: jinja2.runtime.Context, texts: Iterable[object], between: str = "") -> str:
    """As Jinja's ``join``, each text said to the page's reader."""
    reader = _reader(context)
    return str(tell(between, reader)).join(str(tell(text, reader)) for text in texts)


@jinja2.pass_context
def _lowered(context: jinja2.runtime.Context, text: str) -> str:
    """As Jinja's ``lower``, of a text said to the page's reader."""
    return str(tell(text, _reader(context))).lower()


@jinja2.pass_context
def _number(context: jinja2.runtime.Context, value: float, unit: Unit | str) -> str:
    return number(value, _unit(unit), _system(context))


@jinja2.pass_context
def _symbol(context: jinja2.runtime.Context, unit: Unit | str) -> str:
    return pretty(_unit(unit).shown_in(_system(context)))


@jinja2.pass_context
def _span(context: jinja2.runtime.Context, span: Interval, unit: Unit | str) -> str:
    system, plain = _system(context), _unit(unit)
    return Message(
        "{low} to {high}", low=number(span.low, plain, system), high=show(span.high, plain, system)
    )


@jinja2.pass_context
def _figure(context: jinja2.runtime.Context, figure: Figure) -> str:
    return show(figure.value, figure.unit, _system(context))


@jinja2.pass_context
def _rough(context: jinja2.runtime.Context, value: float | None, unit: Unit | str) -> str:
    return Message("not known") if value is None else rough(value, _unit(unit), _system(context))


@jinja2.pass_context
def _rough_span(context: jinja2.runtime.Context, span: Interval, unit: Unit | str) -> str:
    return rough_span(span.low, span.high, _unit(unit), _system(context))


def day(moment: datetime) -> str:
    """A moment as a day people read."""
    here = moment.astimezone()
    month = SHORT_MONTHS[here.month - 1]
    return Message("{day} {month} {year}", day=here.day, month=month, year=here.year)


def clock(moment: datetime) -> str:
    """A moment as day and time on this machine's clock."""
    return Message("{day}, {time:%H:%M}", day=day(moment), time=moment.astimezone())


def minutes(seconds: S) -> str:
    """A time as people say it.

    >>> minutes(45), minutes(2700), minutes(5400)
    ('1 min', '45 min', '1 h 30 min')
    """
    whole = max(1, round(seconds / 60))
    hours, rest = divmod(whole, 60)
    return (
        Message("{hours} h {rest:02d} min", hours=hours, rest=rest)
        if hours
        else Message("{rest} min", rest=rest)
    )


@jinja2.pass_context
def _fresh(context: jinja2.runtime.Context, cautions: Sequence[Caution]) -> Sequence[Caution]:
    """Cautions but those whose hazard the head of this visit's page has shown already."""
    view = context.get("view")
    job = getattr(getattr(view, "head", view), "job", None)
    return cautions if job is None or cautions is job.cautions else but(cautions, job.cautions)


def _said(*hazards: Hazard, text: str = "") -> tuple[Caution, ...]:
    """Cautions of these hazards for a template, the gravest first; ``text`` says the first."""
    first, *others = hazards
    return for_screen(caution(first, text), *map(caution, others))


def digits(number: str) -> str:
    """A telephone number as a link dials it.

    >>> digits("+49 40 123-45 (gate)")
    '+494012345'
    """
    return "".join(c for c in number if c in "+0123456789")


def drawing(svg: str) -> Markup:
    """A drawing of our own making, as markup."""
    return Markup(svg)  # noqa: S704 - made by wetend.drawings, which escapes people's text


@jinja2.pass_context
def _commands(context: jinja2.runtime.Context, text: str) -> Markup:
    return commands(_reader(context).tell(text))


def commands(text: str) -> Markup:
    """A sentence with what stands between backquotes set as commands.

    >>> commands("<b> tells: `wetend doctor`.")
    Markup('&lt;b&gt; tells: <code>wetend doctor</code>.')
    """
    pieces = re.split(r"`([^`]*)`", text)
    return Markup("").join(
        Markup("<code>{}</code>").format(piece) if n % 2 else escape(piece)
        for n, piece in enumerate(pieces)
    )


@constant("shapes of verdicts")
def shape(verdict: Verdict, reader: Reader) -> Markup:
    """A verdict's shape, its word in the reader's language."""
    return drawing(verdict_shapes.mark(Verdict(verdict), reader=reader))


@jinja2.pass_context
def _shape(context: jinja2.runtime.Context, verdict: Verdict) -> Markup:
    return shape(verdict, _reader(context))


def calculator_link(working: Working) -> str:
    """Address of the calculator of a working, its numbers in; blank where there is none."""
    texts = of_working(working)
    if not texts:
        return ""
    return f"/calculators/{working.calculator}?{urlencode({**texts, UNITS_FIELD: 'metric'})}"


@constant("templates of pages")
def templates() -> jinja2.Environment:
    """The templates, escaping everything."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("wetend.web"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_tell,
        extensions=[TemplateMessages],
    )
    made.newstyle_gettext = True  # type: ignore[attr-defined]
    made.globals.update(gettext=_gettext, _=_gettext)
    made.filters.update(
        show=_show, gauge=_gauge, exact=_exact, number=_number, symbol=_symbol,
        span=_span,
        figure=_figure, percent=chance_text, day=day, clock=clock, minutes=minutes,
        sentence=sentence, commands=_commands, rough=_rough, rough_span=_rough_span, whole=whole,
        months=months_text, stood=stood_text, digits=digits, fresh=_fresh,
        span_time=lambda span: span_text(span.low, span.high),
        to_do=do_text, odds=odds_text, act=act_text, likely=likely_text,
        volume=volume_text, volume_span=volume_span_text, date=day_text, figures=rounded,
        money=money,
        mins=minutes_text, right=right_text, word=_word, join=_joined, lower=_lowered,
        weekday=weekday, part=part_words, calculator=calculator_link,
    )  # fmt: skip
    made.globals.update(
        said=_said,
        new_act=new_act,
        plural=plural,
        shape=_shape,
        tone=verdict_shapes.TONE.__getitem__,
        TOKEN_FIELD=TOKEN_FIELD,
    )
    return made


def signer_of(request: Request) -> TokenSigner:
    """The keeper of this server's secret."""
    keeper: TokenSigner = request.app.state.keeper
    return keeper


_WEEKDAYS = (
    Message("Mon"), Message("Tue"), Message("Wed"), Message("Thu"), Message("Fri"),
    Message("Sat"), Message("Sun"),
)  # fmt: skip
_OF_VISIT = re.compile(r"/visits/([0-9a-f]{32})(?:/|$)")
_NOTICES = {
    "1": Message("Saved."),
    "undone": Message("Taken back."),
    "photo": Message("Photo saved."),
    "pump": Message("Pump saved."),
    "note": Message("Remark saved."),
    "removed": Message("Removed from the lists."),
    "back": Message("Restored to the lists."),
}


def _visit(request: Request) -> str:
    """The id of the visit that a page belongs to."""
    found = _OF_VISIT.match(request.url.path)
    return found[1] if found else ""


def _chrome(
    request: Request, title: str, nonce: str, rail: tuple[RailItem, ...],
    pumps: tuple[tuple[str, str], ...], go_on: str,
) -> PageContext:  # fmt: skip
    url = request.url
    here = url.path + (f"?{url.query}" if url.query else "") if request.method == "GET" else "/"
    return PageContext(
        title=title,
        person=person_of(request),
        token=signer_of(request).form_token(nonce),
        here=here,
        notice=_NOTICES.get(request.query_params.get("saved", ""), ""),
        rail=rail,
        locked=bool(signer_of(request).passcode),
        visit=_visit(request),
        warnings=_warnings(request),
        photos=request.app.state.depot.photos,
        pumps=pumps,
        undo=last_saved(request) if request.method == "GET" else None,
        go_on=go_on,
    )


def _nearby(request: Request) -> tuple[tuple[str, str], ...]:
    """Pumps for the navigation, for those who may look in; none on the page kept on the device."""
    looks_in = signer_of(request).admitted(request.cookies.get(PASS_COOKIE, ""))
    if not looks_in or request.url.path == "/injection":
        return ()
    return nearby(Desk(request.app.state.depot))


def _warnings(request: Request) -> tuple[str, ...]:
    """What is wrong with the depot, for those who may look in."""
    if not signer_of(request).admitted(request.cookies.get(PASS_COOKIE, "")):
        return ()
    depot: Depot = request.app.state.depot
    return depot.notices


def render(
    request: Request,
    template: str,
    view: object,
    *,
    title: str,
    status: int = 200,
    rail: tuple[RailItem, ...] = (),
    go_on: str = "",
) -> Response:
    """A whole page. ``view`` is the page's own context, a dataclass."""
    keeper = signer_of(request)
    session = keeper.session_of(request.cookies.get(FORM_COOKIE, ""))
    made = "" if session else keeper.new_session()
    nonce = session or keeper.session_of(made)
    pumps = _nearby(request) if status < 400 else ()
    page = _chrome(request, title, nonce, rail, pumps, go_on)
    html = templates().get_template(template).render(page=page, view=view)
    response = HTMLResponse(html, status_code=status)
    if made:
        response.set_cookie(
            FORM_COOKIE, made, path="/", httponly=True, samesite="strict",
            secure=request.url.scheme == "https",
        )  # fmt: skip
    return response


def go(path: str, *, saved: str = "", anchor: str = "") -> Response:
    """Send the browser on to a page after something was kept."""
    query = f"{'&' if '?' in path else '?'}saved={saved}" if saved else ""
    mark = f"#{anchor}" if anchor else ""
    return RedirectResponse(f"{path}{query}{mark}", status_code=303)


def own_path(path: str) -> str:
    """A path on this server to go back to; anything else becomes the first page.

    >>> own_path("/pumps?x=1"), own_path("//elsewhere"), own_path("https://elsewhere/")
    ('/pumps?x=1', '/', '/')
    """
    plain = path.isascii() and path.isprintable() and "\\" not in path
    return path if plain and path.startswith("/") and not path.startswith("//") else "/"
