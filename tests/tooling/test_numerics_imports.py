"""Numerics stand on numpy and the standard library alone."""

import ast
import sys

import pytest

from scripts.bootstrap import ROOT

FILES = sorted(ROOT.glob("[a-z]*/numerics/**/*.py"))


def imported(file) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add("." * node.level + (node.module or ""))
    return names


def beside(name: str) -> bool:
    """Say whether a name is a neighbour, another app's numerics, numpy, or the standard library's."""
    neighbour = name.startswith(".") and not name.startswith("..")
    return neighbour or ".numerics" in name or name.split(".")[0] in sys.stdlib_module_names | {"numpy"}


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(ROOT)))
def test_numerics_import_numpy_the_standard_library_and_other_numerics(file):
    strangers = {name for name in imported(file) if not beside(name)}
    assert strangers == set()


def test_there_are_numerics_to_look_at():
    assert len(FILES) > 10
