"""The demo's port: looked at before anything long is done, and a clear word where it's taken."""

import shutil
import socket
import subprocess
import sys

import pytest

from scripts.bootstrap import ROOT
from scripts.ports import why_not


@pytest.fixture
def taken_port():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


def test_a_taken_port_is_named_with_the_command_for_another(taken_port):
    reason = why_not(taken_port)
    assert f"Port {taken_port} is taken" in reason
    assert "make demo" in reason
    assert "PORT=8" in reason


def test_a_free_port_is_fine():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
    assert why_not(port) == ""


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_number_that_is_no_port_is_refused(port):
    assert "between 1 and 65535" in why_not(port)


def test_the_demo_stops_at_a_taken_port_before_it_installs_anything(taken_port, tmp_path):
    shutil.copytree(ROOT / "scripts", tmp_path / "scripts")
    command = [sys.executable, "-m", "scripts.demo", "--port", str(taken_port)]
    answer = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert answer.returncode == 1
    assert f"Port {taken_port} is taken" in answer.stderr
    assert sorted(each.name for each in tmp_path.iterdir()) == ["scripts"]
