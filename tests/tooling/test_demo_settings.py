"""The demo's .env: written once, never over somebody's own."""

import re
import stat

import pytest

from scripts import demo_settings
from scripts.bootstrap import ROOT, Stopped


def test_settings_are_written_where_there_are_none(tmp_path):
    file = tmp_path / ".env"
    demo_settings.write(file)
    lines = file.read_text().splitlines()
    assert "BLUESTEM_DEMO=1" in lines
    assert "BLUESTEM_AS_OF=2026-07-14" in lines
    assert "BLUESTEM_WEATHER_SOURCE=invented" in lines
    assert not any(line.startswith("DATABASE_URL") for line in lines)
    assert [each.name for each in tmp_path.iterdir()] == [".env"]


def test_only_the_owner_may_read_them(tmp_path):
    demo_settings.write(tmp_path / ".env")
    assert stat.S_IMODE((tmp_path / ".env").stat().st_mode) == 0o600


def test_every_demo_gets_a_secret_of_its_own(tmp_path):
    demo_settings.write(tmp_path / "one")
    demo_settings.write(tmp_path / "two")
    secrets = {re.search("SECRET_KEY=(.*)", (tmp_path / name).read_text())[1] for name in ("one", "two")}
    assert len(secrets) == 2
    assert min(map(len, secrets)) >= 50


def test_settings_that_are_there_are_left_as_they_are(tmp_path):
    file = tmp_path / ".env"
    file.write_text("BLUESTEM_DEMO=1\nBLUESTEM_AS_OF=2026-08-01\n")
    demo_settings.check(file)
    demo_settings.write(file)
    assert file.read_text() == "BLUESTEM_DEMO=1\nBLUESTEM_AS_OF=2026-08-01\n"


@pytest.mark.parametrize(
    "text", ["DATABASE_URL=postgres://db/real\n", "BLUESTEM_DEMO=0\n", "#BLUESTEM_DEMO=1\n"]
)
def test_settings_of_something_else_stop_the_demo(tmp_path, text):
    file = tmp_path / ".env"
    file.write_text(text)
    with pytest.raises(Stopped, match=r"(?s)not the demo's.*Nothing was changed") as stopped:
        demo_settings.check(file)
    assert "Move the file away" in str(stopped.value)


def test_every_name_written_is_a_setting_of_the_service():
    names = re.findall(r"^(\w+)=", demo_settings.ENV_TEXT, re.MULTILINE)
    assert "BLUESTEM_DEMO" in names
    settings = (ROOT / "config" / "settings.py").read_text()
    assert [name for name in names if f'"{name}"' not in settings] == []
