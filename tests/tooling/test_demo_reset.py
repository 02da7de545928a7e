"""Forgetting the demo's data: only the demo's, only once confirmed, never under a running server."""

import socket

import pytest

from scripts import demo_reset, demo_settings

DATA = {"bluestem.sqlite3", "bluestem.sqlite3-wal", "bluestem.sqlite3-shm"}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Lay out the data of a demo, and a file of somebody else's beside it."""
    for name in {*DATA, "mine.txt"}:
        (tmp_path / name).touch()
    (tmp_path / "media" / "photos" / "ab").mkdir(parents=True)
    (tmp_path / "media" / "photos" / "ab" / "abcd-full.jpg").touch()
    monkeypatch.setattr(demo_reset, "VAR", tmp_path)
    monkeypatch.setattr(demo_settings, "ENV_FILE", tmp_path / ".env")
    monkeypatch.delenv("CONFIRM", raising=False)
    return tmp_path


def left(folder) -> set[str]:
    return {each.name for each in folder.iterdir()}


def test_a_confirmed_reset_removes_the_demos_data_and_nothing_else(folder, monkeypatch):
    monkeypatch.setenv("CONFIRM", "yes")
    assert demo_reset.main() == 0
    assert left(folder) == {"mine.txt", "media"}
    assert list((folder / "media").iterdir()) == []


def test_without_anybody_to_confirm_nothing_is_removed(folder, capsys):
    assert demo_reset.main() == 1
    assert "CONFIRM=yes make demo-reset" in capsys.readouterr().err
    assert left(folder) >= DATA
    assert (folder / "media" / "photos" / "ab" / "abcd-full.jpg").exists()


@pytest.mark.parametrize(("answer", "removed"), [("yes", True), ("y", False), ("", False)])
def test_a_person_is_asked_and_only_yes_counts(folder, monkeypatch, answer, removed):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda question: answer)
    assert demo_reset.main() == 0
    assert (left(folder) & DATA == set()) == removed


def test_data_under_a_running_server_is_left_alone(folder, monkeypatch, capsys):
    monkeypatch.setenv("CONFIRM", "yes")
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()
        (folder / f"demo-{server.getsockname()[1]}.pid").touch()
        assert demo_reset.main() == 1
    assert "still being served" in capsys.readouterr().err
    assert left(folder) >= DATA


@pytest.mark.parametrize(
    "text",
    [
        "BLUESTEM_DEMO=0\n",
        "BLUESTEM_DEMO=1\nDATABASE_URL=postgres://db/real\n",
        "BLUESTEM_DEMO=1\nBLUESTEM_MEDIA=elsewhere\n",
    ],
)
def test_another_database_than_the_demos_is_never_touched(folder, monkeypatch, text):
    monkeypatch.setenv("CONFIRM", "yes")
    (folder / ".env").write_text(text)
    assert demo_reset.main() == 1
    assert left(folder) >= DATA
