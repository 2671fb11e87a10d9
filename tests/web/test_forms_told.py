"""A form's words are told to its reader: labels, hints, choices and what is wrong with it."""

from __future__ import annotations

import re

import pytest

from wetend.errors import BadInput
from wetend.materials.cups import find_cup
from wetend.pump.coating import Coating
from wetend.pump.usage import Usage
from wetend.units.fields import fields_of, read
from wetend.units.message import Text
from wetend.web.forms import FormSpec, ask
from wetend.web.life import FITTED


class Other:
    """A reader in whose language every pattern stands in square brackets."""

    system = "metric"

    def gettext(self, message: str) -> str:
        return f"[{message}]" if message else ""

    def ngettext(self, one: str, many: str, n: int) -> str:
        return self.gettext(one if n == 1 else many)


def told(text: str) -> str:
    """A text told to the other reader; one that is no message stands as it is."""
    return text.render(Other()) if isinstance(text, Text) else text


@pytest.mark.parametrize("noun", [Usage, Coating])
def test_every_label_and_hint_is_a_message(noun):
    for field in fields_of(noun):
        assert re.sub(r"[\[\]]", "", told(field.label)) == field.label != told(field.label)
        assert re.sub(r"[\[\]]", "", told(field.hint)) == field.hint
        assert not field.hint or told(field.hint) != field.hint


def test_boxes_tell_labels_and_choices():
    part = next(i for i in ask(FITTED, "/", {}, system="metric").items if i.name == "part")
    law = next(
        i for i in ask(FormSpec(Coating, key="c"), "/", {}, system="metric").items
        if i.name == "law"
    )  # fmt: skip
    texts = [part.label, law.label, *(o.label for o in (*part.options, *law.options))]
    assert [text for text in texts if not told(text).startswith("[")] == []


def test_a_row_of_a_table_is_called_by_a_message():
    assert told(find_cup("ford-4").title).startswith("[")
    assert told(find_cup("ford-4").key) == "ford-4"


def test_what_is_wrong_names_its_field_in_the_readers_language():
    with pytest.raises(BadInput) as bad:
        read(Usage, {"cycles": "many"})
    sentence = next(p.sentence for p in bad.value.problems if p.field == "cycles")
    assert told(sentence).startswith("[[cycles]")
