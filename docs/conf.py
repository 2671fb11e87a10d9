"""How Sphinx builds the site: README, CONTRIBUTING, CHANGELOG, docs, and the reference from docstrings.

``make docs`` runs it over the project's folder with warnings as errors, so that a link, an anchor or a
reference in a docstring that leads nowhere stops the build. Nothing is fetched, neither then nor by a reader.
"""

from __future__ import annotations

import re
import sys
import typing
from pathlib import Path

from docutils import nodes
from docutils.utils.math import MathError
from docutils.utils.math.latex2mathml import tex2mathml
from sphinx import addnodes
from sphinx.application import Sphinx
from sphinx.ext.napoleon.docstring import GoogleDocstring
from sphinx.util.logging import getLogger
from sphinx.writers.html5 import HTML5Translator

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))

from wetend import __version__  # noqa: E402
from wetend.units import quantity  # noqa: E402

project = html_title = "wetend"
release = __version__
root_doc = "docs/index"
include_patterns = ["*.md", "docs/**.md"]
exclude_patterns = [".*", "benchmarks", "build", "requirements", "src", "tests"]
extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
myst_heading_anchors = 3
myst_links_external_new_tab = False
default_role = "code"
highlight_language = "text"
nitpicky = True
# a reference written in a docstring must lead somewhere; what a signature names need not be on a page
nitpick_ignore_regex = [("py:(class|exc)", ".*"), ("py:obj", r"typing\..*")]

autodoc_default_options = {"members": True}
autodoc_member_order = "bysource"
# units and arrays by their names, as signatures are written
autodoc_type_aliases = {
    name: name
    for name in (
        *(n for n, held in vars(quantity).items() if typing.get_origin(held) is typing.Annotated),
        *("Array", "ArrayLike", "Curve", "FloatOrArray", "Floats", "Function", "Integers", "Ints", "Weigh"),
    )
}
python_maximum_signature_line_length = 110
python_use_unqualified_type_names = True
add_module_names = False

html_theme = "furo"
html_static_path = ["static"]
html_css_files = ["site.css"]
html_copy_source = html_show_sphinx = html_show_copyright = False
html_math_renderer = "mathml"


def _mathml(translator: HTML5Translator, node: nodes.Element) -> None:
    """A formula as MathML, which browsers show without a script or a font of ours."""
    block = isinstance(node, nodes.math_block)
    try:
        formula = tex2mathml(node.astext(), as_block=block)
    except MathError as error:
        getLogger(__name__).warning("%s in formula: %s", error, node.astext(), location=node)
        raise nodes.SkipNode from error
    translator.body.append(f'<div class="formula">{formula}</div>' if block else formula)
    raise nodes.SkipNode


# what stands before a colon in a field's docstring is its text, not its type
GoogleDocstring._consume_inline_attribute = lambda self: ("", self._consume_to_end())  # type: ignore[method-assign]


MARKS = re.compile(r"TypeAliasForwardRef\('(\w+)'\)|<function (\w+)>|<(factory)>|~([PR])\b")
"""What Sphinx leaves in a signature and can't read back: names of types, functions, type variables."""


def _readable(_app: Sphinx, _what: str, _name: str, item: object, *written: object) -> tuple[object, ...]:
    """A signature as it is written; of a noun its fields, whose types and ranges its class says."""
    plain = [part and MARKS.sub(lambda mark: next(filter(None, mark.groups())), str(part)) for part in written[1:]]
    if fields := getattr(item, "model_fields", None):
        plain[0] = f"(*, {', '.join(fields)})"
    return tuple(plain)


def _short(_app: Sphinx, _domain: str, _kind: str, content: nodes.Element) -> None:
    """No value that nobody reads: a table, or an object by its address."""
    for node in list(content.parent.findall(addnodes.desc_annotation)):
        if len(text := node.astext()) > 80 or "<" in text:
            node.parent.remove(node)


def setup(app: Sphinx) -> None:
    """Sphinx calls it."""
    app.connect("autodoc-process-signature", _readable)
    app.connect("object-description-transform", _short)
    app.add_html_math_renderer("mathml", (_mathml, None), (_mathml, None))
