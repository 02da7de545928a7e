"""Compute everything anew and write it: ``python -m tests.accuracy``; ``make prove`` does."""

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from tests.accuracy.cases import CASES  # noqa: E402
from tests.accuracy.libraries import beside  # noqa: E402
from tests.accuracy.targets import measured  # noqa: E402

ROOT = Path(__file__).parents[2]
PAGE, DOCUMENT = ROOT / "desk" / "accuracy.json", ROOT / "docs" / "accuracy.md"
Figures = dict[str, list[dict[str, Any]]]


def figures() -> Figures:
    """Return all of it, as plain values."""
    cases = [
        {
            "what": case.what,
            "unit": case.unit,
            "printed": case.printed,
            "computed": float(f"{case.compute():.6g}"),
            "within": case.within,
            "source": case.source,
            "memory": case.memory,
        }
        for case in CASES
    ]
    return {
        "cases": cases,
        "libraries": [asdict(one) for one in beside()],
        "targets": [asdict(one) for one in measured()],
    }


def document(found: Figures) -> str:
    """Return the same as a document."""
    return "\n".join(
        [
            "# Accuracy",
            "",
            "Written by `make prove`. What is printed in handbooks, what other libraries find, and what this",
            "project set itself, beside what it computes.",
            "",
            "## Published cases",
            "",
            *table(("case", "printed", "computed", "within", "source"), map(case_row, found["cases"])),
            "",
            "## Other libraries",
            "",
            *table(
                ("what", "library", "values", "largest difference", "why"),
                map(library_row, found["libraries"]),
            ),
            "",
            "## Targets of this project",
            "",
            "The six-zone landscape of the published test protocol, 220 days at Greensboro with and without",
            "its rain, wrong forecasts, mean of ten seeds: water by the least of who knew the weather.",
            "",
            *table(
                ("season", "at most", "measured", "adequacy, worst zone", "excess, worst zone"),
                map(target_row, found["targets"]),
            ),
            "",
        ]
    )


def case_row(case: dict[str, Any]) -> list[str]:
    memory = " (from memory)" if case["memory"] else ""
    numbers = f"{case['printed']:g}", f"{case['computed']:.5g}", f"{case['within']:g}"
    return [f"{case['what']} [{case['unit']}]", *numbers, f"{case['source']}{memory}"]


def library_row(one: dict[str, Any]) -> list[str]:
    largest = f"{one['largest']:.2g} {one['unit']}"
    return [one["what"], one["library"], str(one["values"]), largest, one["why"]]


def target_row(one: dict[str, Any]) -> list[str]:
    shares = f"{one['adequacy']:.2%}", f"{one['excess']:.2%}"
    return [one["what"], f"{one['target']:.2f}", f"{one['ratio']:.3f}", *shares]


def table(heads: tuple[str, ...], rows: Any) -> list[str]:
    """Return a table's lines."""
    return [f"| {' | '.join(cells)} |" for cells in (heads, ["---"] * len(heads), *rows)]


def main() -> int:
    found = figures()
    PAGE.write_text(json.dumps(found, indent=1) + "\n")
    DOCUMENT.write_text(document(found))
    counts = ", ".join(f"{len(rows)} {name}" for name, rows in found.items())
    sys.stdout.write(f"{counts}, written to {PAGE.relative_to(ROOT)} and {DOCUMENT.relative_to(ROOT)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
