"""What the benchmarks of reliability share: a progress bar, and a table of what came of tries."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

_WIDTH = 30
_MOST_EXAMPLES = 5


def progress(times: int, what: str) -> Iterator[int]:
    """Count turns, with a bar on standard error."""
    for turn in range(times):
        yield turn
        done = (turn + 1) * _WIDTH // times
        sys.stderr.write(f"\r{what:24.24s} [{'#' * done:{_WIDTH}s}] {turn + 1}/{times}")
        sys.stderr.flush()
    sys.stderr.write("\n")


@dataclass
class Tries:
    """What came of tries, counted by what was tried; what was wrong has examples."""

    counted: dict[str, Counter[str]] = field(default_factory=dict)
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def add(self, what: str, outcome: str, wrong: str = "") -> None:
        """Count one try; ``wrong`` says what was not as it should be."""
        row = self.counted.setdefault(what, Counter())
        row["WRONG" if wrong else outcome] += 1
        if wrong:
            self.wrong.setdefault(what, []).append(wrong)

    def show(self, *outcomes: str) -> int:
        """Write the table, a column an outcome; how many tries went wrong."""
        heads = ("tried", *outcomes, "WRONG")
        wide = max(map(len, self.counted), default=0)
        print(f"{'':{wide}s}  " + "  ".join(heads))
        for what, row in self.counted.items():
            cells = [row.total(), *(row[o] for o in outcomes), row["WRONG"]]
            told = "  ".join(f"{c:{len(h)}d}" for c, h in zip(cells, heads, strict=True))
            print(f"{what:{wide}s}  {told}")
        for what, examples in self.wrong.items():
            for example in examples[:_MOST_EXAMPLES]:
                print(f"  wrong, {what}: {example}")
        return sum(len(examples) for examples in self.wrong.values())
