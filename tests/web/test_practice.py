"""Practice pages: start, check, open, see the truth; all of it in the address."""

from __future__ import annotations

import html
import re
from threading import Event

from wetend.keeping import forget
from wetend.workflows.practice import new_code

CODE = new_code("quay-air", "epoxy-tank", ["foot"], seed=7)


def _links(page: str) -> dict[str, str]:
    found = re.findall(r'<a class="line" href="([^"]+)"><b>([^<]+)</b>', page)
    return {html.unescape(title): html.unescape(path) for path, title in found}


def test_a_new_pump_has_an_address_of_its_own(reader):
    page = reader.get("/practice").text
    assert "Foot valve not holding" in page
    answer = reader.get("/practice/new?pump=quay-air&hidden=set&cause=foot")
    assert answer.status_code == 200
    assert re.search(r"/practice/[0-9A-Z]{5}-[0-9A-Z]{4}$", str(answer.url))


def test_an_exercise_played_through_by_its_links(reader):
    page = reader.get(f"/practice/{CODE}").text
    page = reader.get(_links(page)["Look in the wet cup"]).text
    assert "Wet cup: clean" in page
    page = reader.get(_links(page)["Open the foot valve"]).text
    assert "It was bad, and is repaired." in page
    assert "The answer" in page
    assert "Best way" in page
    assert "Foot valve not holding" in page
    assert "<svg" in page


def test_giving_up_shows_the_truth(reader):
    page = reader.get(f"/practice/{CODE}?did=show").text
    assert "The answer" in page
    assert "The same pump again" in page
    assert (
        "not repaired"
    ) in page  # nothing was mended, so no minutes are held against the best way's
    assert 'id="motion-data"' in page
    moving = re.search(r'href="(/simulate[^"]+)"', page)
    assert moving
    assert reader.get(html.unescape(moving[1])).status_code == 200


def test_a_fault_ticked_is_a_fault_set_whatever_else_is_chosen(reader):
    address = str(reader.get("/practice/new?pump=quay-air&hidden=draw&cause=foot").url)
    assert "Foot valve not holding" in reader.get(f"{address}?did=show").text


def test_a_code_is_found_however_it_is_typed(reader):
    answer = reader.get(f"/practice?code={CODE.lower().replace('-', '%20')}")
    assert str(answer.url).endswith(CODE)


def test_bad_codes_and_moves_get_a_sentence(reader):
    assert reader.get("/practice?code=nonsense").status_code == 422
    assert reader.get("/practice/8809N-XQ4X").status_code == 404
    assert reader.get(f"/practice/{CODE}?did={'strokes.' * 60}").status_code == 422
    told = reader.get(f"/practice/{CODE}?did=<script>alert(1)</script>.open-99.strokes")
    assert told.status_code == 200
    assert "<script>alert" not in told.text
    many = "&".join(f"cause={c}" for c in ("foot", "bore", "air", "slow"))
    assert reader.get(f"/practice/new?hidden=set&{many}").status_code == 422
    assert reader.get("/practice/new?hidden=set&cause=gremlins").status_code == 422


def test_a_trainer_sets_how_big_the_faults_are(reader):
    assert "Severe" in reader.get("/practice").text
    for size in ("slight", "moderate", "severe"):
        new = f"/practice/new?pump=quay-air&hidden=set&cause=foot&size={size}"
        page = reader.get(f"{reader.get(new).url}?did=show").text
        worn_or_lump = "(: a lump that a wash carries away)?"
        assert re.search(f"Foot valve not holding{worn_or_lump}, {size}", page)
    answer = reader.get("/practice/new?size=huge")
    assert answer.status_code == 422
    assert "is not a size of a fault" in answer.text


def test_what_is_told_at_the_end_is_worked_out_while_the_exercise_runs(reader, monkeypatch):
    asked, begun = [], Event()

    def ready(code: str, moves: tuple[str, ...]) -> None:
        asked.append((code, moves))
        begun.set()

    monkeypatch.setattr("wetend.workflows.practice.make_ready_for", ready)
    forget("practice made ready")  # as other tests left it
    code = CODE
    reader.get(f"/practice/{code}?did=wet-cup")
    assert begun.wait(10)
    reader.get(f"/practice/{code}?did=wet-cup.show")
    assert asked == [(code, ("wet-cup",))]
