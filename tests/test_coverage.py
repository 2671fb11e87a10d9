"""The table of docs/coverage.md, from a report of coverage.py as its version 7 writes it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from make_coverage import counts_of, mirrored, page, room_of

ROOT = Path(__file__).parents[1]


def file(lines: int, run: int, branches: int, taken: int) -> dict[str, Any]:
    return {"summary": {"num_statements": lines, "covered_lines": run, "num_branches": branches,
                        "covered_branches": taken}}  # fmt: skip


REPORT: dict[str, Any] = {
    "meta": {"branch_coverage": True},
    "files": {
        "src/wetend/stats/stock.py": file(40, 38, 10, 9),
        "/elsewhere/wetend/stats/life/fit.py": file(60, 42, 30, 12),
        "src/wetend/advice/ratings.py": file(8, 8, 0, 0),
        "src/wetend/advice/strip/plan.py": file(100, 99, 20, 20),
        "src/wetend/errors.py": file(10, 10, 2, 2),
    },
}  # fmt: skip


def rows(text: str) -> dict[str, list[str]]:
    cells = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")]
    return {name: rest for name, *rest in cells}


def test_a_room_counts_all_below_it_and_the_rooms_of_advice_each_for_themselves() -> None:
    """38 + 42 of 100 lines, 9 + 12 of 40 branches."""
    found = rows(page(counts_of(REPORT)))
    assert found["stats"] == ["2", "100", "80.0", "40", "52.5"]
    assert found["advice"] == ["1", "8", "100.0", "0", "-"]
    assert found["advice/strip"] == ["1", "100", "99.0", "20", "100.0"]
    assert found["."] == ["1", "10", "100.0", "2", "100.0"]
    assert found["all"] == ["5", "218", "90.4", "62", "69.4"]


def test_the_least_covered_modules_are_named_and_good_ones_not() -> None:
    text = page(counts_of(REPORT))
    assert "`stats/life/fit.py`: 12 of 30" in text
    assert "stats/stock.py" not in text
    assert room_of("web/listening/rows.py") == "web"


def test_what_some_tests_measured_shows_only_the_rooms_they_mirror() -> None:
    counts = counts_of(REPORT)
    assert set(mirrored(counts, ["tests/stats/life", "src/wetend/advice/strip"])) == {
        "stats/life/fit.py", "advice/strip/plan.py",
    }  # fmt: skip
    assert mirrored(counts, []) == counts


@pytest.mark.parametrize("meta", [{"branch_coverage": False}, {"branch_coverage": True}])
def test_a_report_without_branches_or_without_the_program_makes_no_page(meta: Any) -> None:
    with pytest.raises(SystemExit):
        counts_of({"meta": meta, "files": {"tests/test_x.py": file(1, 1, 0, 0)}})


def test_coverage_itself_writes_what_the_page_reads(tmp_path: Path) -> None:
    """Of one condition only one way is taken: one branch of two."""
    module = tmp_path / "wetend" / "pump" / "one.py"
    module.parent.mkdir(parents=True)
    module.write_text("import sys\nif len(sys.argv) > 9:\n    print()\n", "utf-8")
    for words in (["run", "--branch", str(module)], ["json", "-o", "report.json"]):
        subprocess.run([sys.executable, "-m", "coverage", *words], cwd=tmp_path, check=True,
                       capture_output=True)  # fmt: skip
    (tmp_path / "page.md").touch()
    subprocess.run(
        [sys.executable, ROOT / "docs" / "make_coverage.py", "report.json", "--write", "page.md"],
        cwd=tmp_path, check=True,
    )  # fmt: skip
    found = rows((tmp_path / "page.md").read_text("utf-8"))
    assert found["pump"] == ["1", "3", "66.7", "2", "50.0"]
