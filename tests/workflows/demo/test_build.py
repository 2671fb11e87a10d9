"""The demo depot: its visits carry what real ones would."""

from __future__ import annotations

from wetend.advice.reasons import Verdict
from wetend.records.store import Depot
from wetend.workflows import prove, pumps, rebuild, visits
from wetend.workflows.demo.build import build_demo
from wetend.workflows.desk import Desk


def test_what_was_taken_apart_was_put_back_and_one_visit_is_half_way(tmp_path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        build_demo(depot)
        desk = Desk(depot)
        half = []
        for line in pumps.list_pumps(desk):
            for summary in pumps.view(desk, line.pump.key).history:
                view = rebuild.view(desk, summary.id)
                if view.plan is None:
                    assert not view.done
                    continue
                steps = {s.key for s in view.plan.steps}
                assert set(view.done) <= steps
                if summary.closed:
                    assert set(view.done) == steps
                    assert prove.view(desk, summary.id).proof.verdict is Verdict.PASS
                else:
                    half.append((len(view.done), len(steps), view.visit.proof))
        assert half
        assert all(0 < done < steps and proof is None for done, steps, proof in half)
        assert len(visits.open_visits(desk)) == 2
