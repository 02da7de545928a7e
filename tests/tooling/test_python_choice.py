"""Which Python the project starts with, and what it says where there is none."""

import subprocess
import tomllib
from pathlib import Path

import pytest

from scripts.bootstrap import ROOT


@pytest.fixture
def machine(tmp_path: Path):
    """Return a function that runs the choice on a machine with these interpreters and no others."""

    def choose(*, named: str = "", **interpreters: str) -> subprocess.CompletedProcess[str]:
        for name, version in interpreters.items():
            fake = tmp_path / name.replace("_", ".")
            fake.write_text(f"#!/bin/sh\necho {version}\n")
            fake.chmod(0o755)
        environment = {"PATH": str(tmp_path), "PYTHON": named}
        script = ["/bin/sh", str(ROOT / "scripts" / "python.sh")]
        return subprocess.run(script, env=environment, capture_output=True, text=True, check=False)

    return choose


def test_a_machine_without_python_is_told_what_to_install(machine):
    answer = machine()
    assert answer.returncode == 1
    assert "needs Python 3.11, 3.12, 3.13 or 3.14, and no Python was found" in answer.stderr
    assert "apt-get install python3" in answer.stderr
    assert answer.stdout == ""


def test_a_python_that_is_too_old_is_named_with_its_version(machine):
    answer = machine(python3="3.9")
    assert answer.returncode == 1
    assert "python3 is Python 3.9" in answer.stderr


def test_a_python_newer_than_the_locked_packages_is_refused(machine):
    assert machine(python3="3.15").returncode == 1


def test_a_newer_python_beside_an_old_one_is_found_by_its_versioned_name(machine, tmp_path):
    answer = machine(python3="3.9", python3_12="3.12")
    assert answer.returncode == 0
    assert answer.stdout.strip() == str(tmp_path / "python3.12")


def test_a_python_named_by_the_user_is_taken_before_all_others(machine, tmp_path):
    answer = machine(named="mine", python3="3.11", mine="3.13")
    assert answer.stdout.strip() == str(tmp_path / "mine")


def test_a_named_python_that_does_not_exist_is_said_so(machine):
    answer = machine(named="nowhere", python3="3.11")
    assert answer.returncode == 1
    assert "PYTHON=nowhere does not run" in answer.stderr


def test_the_versions_are_those_of_the_project_file():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["requires-python"] == ">=3.11,<3.15"
