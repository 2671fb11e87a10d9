"""Serious faults of a page by axe-core's own rules.

Nearly all its time goes to the contrast of texts. So of the texts that look alike (colours, sizes
and layers, all the way up) one is judged for all; where it can't be judged, all of them are.
"""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

STYLE_RULES = (
    "color-contrast", "link-in-text-block", "scrollable-region-focusable", "target-size",
)  # fmt: skip
"""Rules that sun mode may break, whose colours and weights differ and nothing else."""
COLOUR_RULES = ("color-contrast", "link-in-text-block")
Faults = list[tuple[str, str, str]]

# which elements are seen at a width, and how many of those seen now are not
_SEEN = """document.querySelectorAll('body *').forEach((e) => {
  if (e.checkVisibility()) e.dataset.seen = ''; })"""
_UNSEEN = """[...document.querySelectorAll('body *')].filter((e) => {
  const fresh = e.checkVisibility() && !('seen' in e.dataset);
  if (fresh) e.dataset.unseen = '';
  return fresh; }).length"""
_READY = "axe.configure({rules: [{id: 'color-contrast', selector: '[data-judged]'}]})"
_RUN = r"""async ([where, options, colours]) => {
  const NO_TEXT = ['checkbox', 'radio', 'hidden', 'range', 'color', 'image'],
    chains = new Map(), known = new Map();
  const LOOKS = ['color', 'fill', 'backgroundColor', 'backgroundImage', 'opacity', 'fontSize',
    'fontWeight', 'textShadow', 'filter', 'mixBlendMode', 'position', 'zIndex'];
  const chain = (e) => {  // one number for all that makes an element and those around it look so
    if (!e) return 0;
    if (!known.has(e)) {
      const style = getComputedStyle(e), classes = e.getAttribute('class');
      const own = [chain(e.parentElement), e.tagName, e.type, classes, e.matches(':disabled'),
        e.getAttribute('aria-disabled'), e.tagName === 'LABEL' && e.control?.disabled,
        ...LOOKS.map((name) => style[name])].join('|');
      if (!chains.has(own)) chains.set(own, chains.size + 1);
      known.set(e, chains.get(own));
    }
    return known.get(e);
  };
  const typed = (e) => e.matches('select, textarea, button, input') && !NO_TEXT.includes(e.type);
  const said = (e) => (typed(e) ? e.value || e.placeholder || ' ' : '') +
    [...e.childNodes].filter((n) => n.nodeType === 3).map((n) => n.nodeValue.trim()).join('');
  const letters = (text) => text.replace(/[^\p{L}\p{N}]/gu, '').length;
  const alike = new Map();
  for (const root of colours ? document.querySelectorAll(where) : [])
    for (const e of [root, ...root.querySelectorAll('*')]) {
      const text = said(e);
      if (!text || !e.checkVisibility()) continue;
      const key = chain(e), most = alike.get(key);
      if (!most) alike.set(key, {judged: e, letters: letters(text), all: new Set([e])});
      else {
        most.all.add(e);
        if (letters(text) > most.letters) Object.assign(most, {judged: e, letters: letters(text)});
      }
    }
  const mark = (elements) => {
    document.querySelectorAll('[data-judged]').forEach((e) => e.removeAttribute('data-judged'));
    elements.forEach((e) => e.setAttribute('data-judged', ''));
  };
  const look = (options) => axe.run([[where]], {selectors: false, elementRef: true, ...options});
  const groups = [...alike.values()];
  mark(groups.map((g) => g.judged));
  const told = await look(options), found = [...told.violations];
  const judged = new Set([...told.passes, ...told.violations]
    .filter((rule) => rule.id === 'color-contrast').flatMap((r) => r.nodes.map((n) => n.element)));
  const left = groups.filter((g) => g.all.size > 1 && !judged.has(g.judged));
  if (left.length) {
    mark(left.flatMap((g) => [...g.all]));
    found.push(...(await look({runOnly: ['color-contrast']})).violations);
  }
  mark([]);
  return {
    asked: ['passes', 'violations', 'incomplete', 'inapplicable']
      .flatMap((name) => told[name].map((rule) => rule.id)),
    passes: told.passes.length, texts: groups.length,
    faults: found.filter((f) => ['serious', 'critical'].includes(f.impact)).map((f) =>
      [f.id, f.nodes.slice(0, 3).map((n) => n.html).join(' '), f.nodes[0].failureSummary]),
  };
}"""


def faults(page: Page, *, within: str = "html", sun: bool = False, colours: bool = True) -> Faults:
    """Serious faults: the rule, where, what to mend.

    Of a page or of what is ``within`` some of its elements; in ``sun`` mode as the server would
    send it, with one class more; or without the rules of ``colours``.
    """
    options: dict[str, Any] = {}
    if sun:
        options["runOnly"] = list(STYLE_RULES)
    elif not colours:
        options["rules"] = {rule: {"enabled": False} for rule in COLOUR_RULES}
    page.evaluate("(sun) => document.documentElement.classList.toggle('sun', sun)", sun)
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(AXE_SCRIPT)
        page.evaluate(_READY)
    told = page.evaluate(_RUN, [within, options, colours])
    assert ("color-contrast" in told["asked"]) is colours
    assert sun or within != "html" or told["passes"] > 10
    assert not colours or within != "html" or told["texts"] > 0
    return [(rule, where, why) for rule, where, why in told["faults"]]


def faults_at(
    page: Page, *widths: int, height: int = 780, sun: bool = False
) -> list[tuple[int, str, str, str]]:
    """The same at several widths, each fault behind its width.

    No colour hangs on the width of the window (``test_browser.py``): at the second and later ones
    colours are judged of what the widths before did not show, and sun mode, which differs in style
    alone, is judged of that only.
    """
    found = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": height})
        if width == widths[0]:
            seen = faults(page, sun=sun)
        else:
            seen = [] if sun else faults(page, colours=False)
            seen += faults(page, within="[data-unseen]", sun=sun) if page.evaluate(_UNSEEN) else []
        page.evaluate(_SEEN)
        found += [(width, *fault) for fault in seen]
    page.evaluate("""document.querySelectorAll('body *').forEach((e) => {
      delete e.dataset.seen; delete e.dataset.unseen; })""")
    return found
