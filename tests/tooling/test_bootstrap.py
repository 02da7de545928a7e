"""Setting up .venv: real environments, and real packages that these tests build for themselves."""

import hashlib
import os
import re
import shutil
import zipfile
from pathlib import Path

import pytest

from scripts import bootstrap
from scripts.bootstrap import BEGUN, STAMP, Stopped, ensure, packages, python_of


def wheel(folder: Path, name: str) -> str:
    """Build a package of one empty module; return its line for a lock file."""
    file = folder / f"{name}-1.0-py3-none-any.whl"
    info = f"{name}-1.0.dist-info"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(f"{name}.py", "")
        archive.writestr(f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
        archive.writestr(f"{info}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        archive.writestr(
            f"{info}/RECORD", f"{name}.py,,\n{info}/METADATA,,\n{info}/WHEEL,,\n{info}/RECORD,,\n"
        )
    return f"{name}==1.0 \\\n    --hash=sha256:{hashlib.sha256(file.read_bytes()).hexdigest()}\n"


@pytest.fixture(scope="module")
def set_up_once(tmp_path_factory):
    """Make one environment with an empty lock, to copy from: making one takes seconds."""
    folder = tmp_path_factory.mktemp("once")
    bootstrap.create(folder / ".venv")
    return folder / ".venv"


@pytest.fixture
def project(tmp_path, monkeypatch):
    """Lay out a project whose locks name one package for the service and one more for the tests."""
    rain, soil = wheel(tmp_path, "rain"), wheel(tmp_path, "soil")
    head = f"--no-index\n--find-links {tmp_path}\n"
    (tmp_path / "requirements.lock.txt").write_text(head + rain)
    (tmp_path / "requirements-dev.lock.txt").write_text(head + rain + soil)
    monkeypatch.setattr(bootstrap, "RUN_LOCK", tmp_path / "requirements.lock.txt")
    monkeypatch.setattr(bootstrap, "DEV_LOCK", tmp_path / "requirements-dev.lock.txt")
    return tmp_path


def copy(environment: Path, to: Path) -> None:
    """Copy an environment by linking its files: nothing here writes into a file that is there."""
    shutil.copytree(environment, to, symlinks=True, copy_function=os.link)


@pytest.fixture
def empty(project, set_up_once):
    """Put a new environment without any package into the project: begun, and not finished."""
    copy(set_up_once, project / ".venv")
    return project / ".venv"


@pytest.fixture
def quick_start(set_up_once, monkeypatch):
    """Let a new environment be copied instead of made."""
    monkeypatch.setattr(bootstrap, "create", lambda venv: copy(set_up_once, venv))


@pytest.fixture
def ready(project, quick_start, capsys):
    """Set the service's packages up in the project."""
    ensure(venv=project / ".venv")
    capsys.readouterr()
    return project / ".venv"


def ours(venv: Path) -> set[str]:
    return packages(venv).keys() & {"rain", "soil"}


def test_a_new_machine_gets_the_service_alone(project, quick_start, capsys):
    ensure(venv=project / ".venv")
    assert ours(project / ".venv") == {"rain"}
    assert capsys.readouterr().out.startswith("Making .venv with Python 3.")


def test_a_finished_environment_is_left_in_silence(ready, capsys, monkeypatch):
    monkeypatch.setattr(bootstrap, "install", lambda *a, **k: pytest.fail("installed again"))
    ensure(venv=ready)
    assert capsys.readouterr().out == ""


def test_the_tests_packages_come_on_top_and_stay(ready, capsys):
    ensure(dev=True, venv=ready)
    assert ours(ready) == {"rain", "soil"}
    assert "are more now" in capsys.readouterr().out
    ensure(venv=ready)
    assert ours(ready) == {"rain", "soil"}
    assert capsys.readouterr().out == ""


def test_a_set_up_that_was_cut_short_is_made_afresh(empty, quick_start, capsys):
    (empty / "half-written").touch()
    ensure(venv=empty)
    assert "cut short" in capsys.readouterr().out
    assert ours(empty) == {"rain"}
    assert not (empty / "half-written").exists()


def test_an_environment_whose_python_is_gone_is_made_afresh(ready, capsys):
    python_of(ready).unlink()
    ensure(venv=ready)
    assert "doesn't start" in capsys.readouterr().out
    assert ours(ready) == {"rain"}


def test_an_environment_made_by_hand_is_kept_and_completed(empty, capsys):
    (empty / BEGUN).unlink()
    (empty / "own").touch()
    ensure(venv=empty)
    assert "made by hand" in capsys.readouterr().out
    assert ours(empty) == {"rain"}
    assert (empty / "own").exists()


def test_a_changed_lock_is_followed(ready, project, capsys):
    (project / "requirements.lock.txt").write_text((project / "requirements-dev.lock.txt").read_text())
    ensure(venv=ready)
    assert "have changed" in capsys.readouterr().out
    assert ours(ready) == {"rain", "soil"}


def test_a_package_that_went_missing_is_put_back(ready, capsys):
    for part in ready.rglob("rain*"):
        shutil.rmtree(part) if part.is_dir() else part.unlink()
    assert ours(ready) == set()
    ensure(venv=ready)
    assert "has lost or changed rain: putting it right" in capsys.readouterr().out
    assert ours(ready) == {"rain"}


def test_a_package_that_is_not_the_locked_one_is_refused_and_nothing_is_called_done(project, quick_start):
    lock = project / "requirements.lock.txt"
    lock.write_text(re.sub("sha256:.*", "sha256:" + "0" * 64, lock.read_text()))
    with pytest.raises(Stopped, match="could not be installed"):
        ensure(venv=project / ".venv")
    assert not (project / ".venv" / STAMP).exists()


def test_a_python_without_the_venv_package_is_told_which_one_is_missing(project, monkeypatch, tmp_path):
    lame = tmp_path / "python3"
    lame.write_text("#!/bin/sh\necho 'ensurepip is not available' >&2\nexit 1\n")
    lame.chmod(0o755)
    monkeypatch.setattr("sys.executable", str(lame))
    with pytest.raises(Stopped, match=r"(?s)ensurepip is not available.*python3-venv"):
        ensure(venv=project / ".venv")
    assert not (project / ".venv").exists()
