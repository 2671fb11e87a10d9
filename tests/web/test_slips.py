"""Slips on pages: a sentence beside the field, what was typed given back, nothing kept."""

from __future__ import annotations

import html
import re

import pytest

CHECKS, PROVE = "/visits/{open}/checks", "/visits/{open}/prove"


@pytest.mark.parametrize(
    ("path", "fields", "told"),
    [
        (CHECKS, {"up_times": "1.3 1.2 1.3"}, "Up-stroke times: “1.2 1.3” follows the first"),
        (CHECKS, {"spray_pressure": "2OO"}, "there is a letter in the number, before “OO”"),
        (CHECKS, {"spray_pressure": "200 kg"}, "“kg” is not a unit of pressure"),
        (CHECKS, {"spray_pressure": "-200"}, "is -200 bar; it must be from 0 bar"),
        (CHECKS, {"spray_pressure": "1,200"}, "could be thousands or a decimal comma"),
        (CHECKS, {"temperature": "2500"}, "Coating temperature is 2,500 °C"),
        (CHECKS, {"cycle_rate": "40 bar"}, "“bar” is not a unit of rate"),
        (PROVE, {"stall_pressure": "about 200"}, "“about 200” is not a pressure"),
        ("/pumps/{pump}/visits", {"reason": "r" * 250}, "Reason for the call has 250 characters"),
        ("/visits/{open}/notes", {"text": "  "}, "The remark is required"),
    ],
)
def test_a_slip_in_a_form_is_told_and_given_back(
    person, site, path: str, fields: dict[str, str], told: str
) -> None:
    before = len(site.depot.entries())
    answer = person.send(path.format(open=site.open_visit, pump=site.pump), fields)
    text = html.unescape(answer.text)
    assert answer.status_code == 422
    assert told in text
    assert all(value.strip() in text for value in fields.values())
    assert len(site.depot.entries()) == before


@pytest.mark.parametrize(
    ("path", "field", "data", "told"),
    [
        ("/visits/{open}/photos", "photo", b"not a picture", "photo can't be saved"),
        ("/visits/{open}/photos", "photo", b"", "Choose a photo first"),
        ("/visits/{open}/listen", "record", b"ID3\x03\x00junk", "This is MP3 sound"),
        ("/visits/{open}/listen", "record", b"Dear Sam, slow again.", "No rows of figures"),
        ("/import", "table", b"Dear Sam, slow again.", "no row below its head"),
        ("/import", "table", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "save it as .xlsx or CSV"),
    ],
)
def test_a_file_of_the_wrong_kind_is_told(
    person, site, path: str, field: str, data: bytes, told: str
) -> None:
    before = len(site.depot.entries())
    answer = person.send(path.format(open=site.open_visit), {}, files={field: data})
    assert answer.status_code in (413, 422)
    assert told in html.unescape(answer.text)
    assert len(site.depot.entries()) == before


def test_a_visit_begun_twice_is_told_before(person, site) -> None:
    pump = site.pump
    begun = person.send(f"/pumps/{pump}/visits", {"reason": "once"}).url.path.split("/")[2]
    page = person.get(f"/pumps/{pump}/visits").text
    told = page.partition("A visit to this pump is open since ")[2].partition(". If")[0]
    assert re.fullmatch(r"\d+ \w+ \d{4}, \d\d:\d\d", told)
    assert f'href="/visits/{begun}"' in page
