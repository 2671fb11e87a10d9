"""Look the locked dependencies up in the public index of known faults, by pip-audit.

    python requirements/audit.py PIP_AUDIT [--if-reachable]

``PIP_AUDIT`` is the tool, installed apart (``make audit`` does it). Ends with 0 where nothing is
known against them, 1 where something is, and 2 where the index could not be asked: a mirror of
packages alone answers, but knows no faults, and pip-audit then reports none. With
``--if-reachable`` that last case is said in one line and is no failure.
"""

from __future__ import annotations

import http.client
import json
import subprocess
import sys
import urllib.request
from pathlib import Path
from typing import Any

LOCKS = ("run.txt", "dev.txt", "docs.txt")
KNOWN_FAULTY = "https://pypi.org/pypi/jinja2/2.10/json"
"""A release with published faults: an index that lists none for it knows none at all."""


def reachable() -> bool:
    """Whether the index knows of faults."""
    try:
        with urllib.request.urlopen(KNOWN_FAULTY, timeout=15) as answer:
            return bool(json.load(answer).get("vulnerabilities"))
    except (OSError, ValueError, AttributeError, http.client.HTTPException):
        return False


def judged(found: list[dict[str, Any]]) -> tuple[int, list[str]]:
    """Exit code and lines for what pip-audit reports of each dependency.

    Args:
        found: ``dependencies`` of its JSON: a name, and a version with ``vulns`` or a
            ``skip_reason``.
    """
    faulty = [d for d in found if d.get("vulns")]
    skipped = [d["name"] for d in found if "skip_reason" in d]
    lines = [
        f"{d['name']} {d['version']}: {v['id']}"
        + (f", mended in {', '.join(v['fix_versions'])}" if v.get("fix_versions") else "")
        for d in faulty for v in d["vulns"]
    ]
    if faulty:
        return 1, lines
    if skipped:
        return 2, [f"Not audited: {', '.join(skipped[:8])}{' ...' if len(skipped) > 8 else ''}"]
    return 0, [f"{len(found)} locked dependencies, no known fault."]


def main(arguments: list[str]) -> int:
    tool, quiet = arguments[0], "--if-reachable" in arguments
    if not reachable():
        print("audit: no index of faults is reachable from here; dependencies were not audited.")
        return 0 if quiet else 2
    if "--probe" in arguments:
        return 0
    worst = 0
    for lock in LOCKS:
        done = subprocess.run(
            [tool, "--format", "json", "--progress-spinner", "off", "--disable-pip",
             "--require-hashes", "--requirement", str(Path(__file__).with_name(lock))],
            capture_output=True, text=True, check=False,
        )
        try:
            code, lines = judged(json.loads(done.stdout)["dependencies"])
        except (ValueError, KeyError):
            code, lines = 2, [done.stderr.strip().splitlines()[-1] if done.stderr else "no answer"]
        print("\n".join(f"audit {lock}: {line}" for line in lines))
        worst = code if code == 1 or worst == 0 else worst
    return 0 if quiet and worst == 2 else worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
