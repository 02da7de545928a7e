"""Measure anew and write the figures, as printed, to docs/measurements.md: all, or the programs named.

Two kinds of measurement: tests marked ``prove``, which fail if a promise isn't kept, and the programs in
tests/benchmarks/, which print figures. Nothing is rounded or left out here; what failed is said so.
"""

import ast
import os
import platform
import re
import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from scripts.bootstrap import ROOT, say
from scripts.postgres import find

REPORT = ROOT / "docs" / "measurements.md"
BENCHMARKS = ROOT / "tests" / "benchmarks"
PYTEST = [
    "-m",
    "pytest",
    "-m",
    "prove",
    "-rP",
    "-q",
    "-p",
    "no:randomly",
    "-o",
    "faulthandler_timeout=0",
    "--no-header",
    "--color=no",
]
PYTEST += ["--show-capture=stdout"]  # what tests print; not the log of 20,000 refused requests


def machine() -> str:
    """Describe the machine by what bears on speed, and nothing that identifies it."""
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    system = f"{platform.system()} {platform.machine()}"
    return f"{os.cpu_count()} cores, {memory:.0f} GiB of memory, {system}, Python {platform.python_version()}"


def without_places(text: str) -> str:
    """Take this machine's folders and terminal colours out of what a program printed."""
    return re.sub(r"\x1b\[[0-9;]*m", "", text).replace(str(ROOT), ".").strip()


def measure(*arguments: str, database: str = "") -> tuple[bool, str]:
    environment = {**os.environ, "BLUESTEM_TEST_DATABASE_URL": database}
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.returncode in (0, 5), without_places(done.stdout)  # 5: no test is marked so


def programs() -> list[Path]:
    """Return what can be run in tests/benchmarks/; what has no main only helps the others."""
    return [p for p in sorted(BENCHMARKS.glob("[!_]*.py")) if '__name__ == "__main__"' in p.read_text()]


def purpose(program: Path) -> str:
    """Return what a program's docstring says first, without the command to run it."""
    said = ast.get_docstring(ast.parse(program.read_text())) or program.stem
    first = " ".join(said.partition("\n\n")[0].split())
    return re.sub(r":? ``python -m .*", "", first).rstrip(".")


def section(title: str, command: str, *, kept: bool, printed: str) -> str:
    verdict = "" if kept else "\n**This one failed when these figures were taken.**\n"
    return f"## {title}\n\n`{command}`, {date.today()}\n{verdict}\n```text\n{printed}\n```\n"


def prove_tests() -> list[tuple[bool, str]]:
    """Run the tests marked ``prove``, on SQLite and on PostgreSQL if it answers."""
    done = []
    for name, database in (("SQLite", ""), ("PostgreSQL", find()[0])):
        if name == "SQLite" or database:
            say(f"Tests marked prove, on {name} ...")
            only = ["--database-only"] if database else []
            kept, printed = measure(*PYTEST, *only, database=database)
            title = f"Promises that are tests, on {name}"
            done.append((kept, section(title, "pytest -m prove", kept=kept, printed=printed)))
    return done


def benchmarks(names: Sequence[str] = ()) -> list[tuple[bool, str]]:
    """Run every program of tests/benchmarks/, or those named."""
    done = []
    for program in (one for one in programs() if not names or one.stem in names):
        module = f"tests.benchmarks.{program.stem}"
        say(f"{module} ...")
        kept, printed = measure("-m", module)
        done.append((kept, section(purpose(program), f"python -m {module}", kept=kept, printed=printed)))
    return done


def anew(report: str, section: str) -> str:
    """Return the report with a section in place of the one of the same title, or at its end."""
    title = section.partition("\n")[0]
    before, found, after = report.partition(f"{title}\n")
    if not found:
        return f"{report}\n{section}"
    _, following, rest = after.partition("\n## ")
    return before + section + (f"\n## {rest}" if following else "")


def some(names: Sequence[str]) -> int:
    """Measure some programs, and leave the rest of the report as it is."""
    if unknown := set(names) - {program.stem for program in programs()}:
        say(f"Not in tests/benchmarks/: {', '.join(sorted(unknown))}.")
        return 1
    done = benchmarks(names)
    for _, text in done:
        REPORT.write_text(anew(REPORT.read_text(), text))
    return int(not all(kept for kept, _ in done))


def main() -> int:
    if sys.argv[1:]:
        return some(sys.argv[1:])
    say("What is computed beside what is published ...")
    kept, printed = measure("-m", "tests.accuracy")
    accuracy = section("Accuracy, see accuracy.md", "python -m tests.accuracy", kept=kept, printed=printed)
    done = [*prove_tests(), *benchmarks(), (kept, accuracy)]
    head = (
        "# Measurements\n\nWritten by `make prove`: what each program printed, unchanged.\n"
        "Times on another machine will differ; ratios should not by much.\n\n"
        f"Taken on a machine with {machine()}.\n"
    )
    REPORT.parent.mkdir(exist_ok=True)
    REPORT.write_text("\n".join([head, *(text for _, text in done)]))
    say(f"Wrote {REPORT.relative_to(ROOT)}.")
    return int(not all(kept for kept, _ in done))


if __name__ == "__main__":
    sys.exit(main())
