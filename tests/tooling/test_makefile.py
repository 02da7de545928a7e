"""The Makefile: every command explained, every script there."""

import re
import subprocess

from scripts.bootstrap import ROOT

MAKEFILE = (ROOT / "Makefile").read_text()


def test_every_target_is_listed_with_what_it_does():
    targets = re.search(r"^\.PHONY: (.*)$", MAKEFILE, re.MULTILINE)[1].split()
    listed = subprocess.run(
        ["make", "-s", "help"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    assert re.findall(r"^  make (\S+) +\S", listed, re.MULTILINE) == targets


def test_every_script_that_make_runs_exists():
    scripts = set(re.findall(r"scripts\.(\w+)", MAKEFILE))
    assert {"demo", "suite", "lint", "prove", "lock"} <= scripts
    assert [name for name in scripts if not (ROOT / "scripts" / f"{name}.py").exists()] == []
