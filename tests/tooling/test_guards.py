"""The tests' own guards: no network but this machine, nothing left out in silence."""

import os
import socket
import subprocess
import sys

import pytest
from pytest_socket import SocketConnectBlockedError

from scripts.bootstrap import ROOT

TWO_TESTS = """
import pytest


def test_runs():
    pass


@pytest.mark.skip
def test_left_out():
    pass
"""


def test_a_test_cannot_reach_another_machine():
    with pytest.raises(SocketConnectBlockedError):
        socket.create_connection(("192.0.2.1", 80), timeout=1)  # an address kept for documentation, RFC 5737


def test_a_test_can_reach_this_machine(httpserver):
    with socket.create_connection(("127.0.0.1", httpserver.port), timeout=5) as connection:
        assert connection.getpeername()[0] == "127.0.0.1"


@pytest.mark.parametrize(("ci", "exit_code"), [("true", 1), ("", 0)])
def test_a_skipped_test_fails_the_run_in_ci_alone(tmp_path, ci, exit_code):
    (tmp_path / "test_two.py").write_text(TWO_TESTS)
    (tmp_path / "pytest.ini").touch()
    options = ["-q", "-p", "no:cacheprovider", "-p", "tests.conftest"]
    answer = subprocess.run(
        [sys.executable, "-m", "pytest", *options, "-c", str(tmp_path / "pytest.ini"), str(tmp_path)],
        cwd=ROOT,
        env={**os.environ, "CI": ci, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "1 passed, 1 skipped" in answer.stdout
    assert answer.returncode == exit_code
    assert ("in CI nothing may be left out" in answer.stdout) == (ci == "true")
