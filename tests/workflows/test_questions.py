"""What the record of a depot answers, and its lives as a table."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

from wetend.pump.toml import demo_pump
from wetend.pump.usage import PartFitted, Usage
from wetend.records.store import Depot
from wetend.workflows import life, pumps, questions
from wetend.workflows.desk import Desk


def test_lives_are_given_with_exposure_and_censoring(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot)
        pumps.describe(desk, demo_pump("quay-air"))
        for month in range(1, 7):
            use = Usage(first=date(2025, month, 1), last=date(2025, month, 28), pumped=2.0)
            life.save_usage(desk, "quay-air", use)
        for day, why in ((1, "first fitted"), (3, "worn out")):
            fitted = PartFitted(part="moving-packings", why=why, on=date(2025, day, 1))
            life.save_fitted(desk, "quay-air", fitted)
        rows = list(csv.DictReader(io.StringIO(questions.lives_csv(desk))))
        assert [(r["part"], r["ending"]) for r in rows] == [
            ("moving-packings", "between"), ("moving-packings", "going"),
        ]  # fmt: skip
        # its use is known by the month only, so the age of the failure is an interval
        assert float(rows[0]["low [m Pa]"]) < float(rows[0]["high [m Pa]"])
        assert 3.5 < float(rows[0]["pumped [m^3]"]) < 4.5  # January and February: 4 m3
        assert list(questions.LIFE_HEAD) == list(rows[0])
        seen = questions.view(desk)
        assert (seen.lives, seen.parts, seen.months) == (
            2, (("moving packings", 1),), (("2025-03", 1),),
        )  # fmt: skip
        assert [row.failures for row in seen.pumps] == [1]


def test_a_depot_without_anything_answers_with_nothing(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        seen = questions.view(Desk(depot))
        assert seen.sites == seen.back == seen.parts == ()
