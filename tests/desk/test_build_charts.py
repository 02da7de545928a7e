from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from desk.management.commands import build_charts


@pytest.fixture
def bundle(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "static" / "desk" / "vega-bundle.js"
    monkeypatch.setattr(build_charts, "BUNDLE", path)
    return path


def test_the_script_is_closed_so_that_its_names_meet_no_others(bundle: Path, capsys: Any):
    call_command("build_charts")
    text = bundle.read_text()
    first, rest = text.split("\n", 1)
    assert first.startswith("/* vl-convert ")
    assert rest.startswith("(()=>{")
    assert rest.endswith("})();\n")
    assert "vegaEmbed" in rest
    assert "Wrote" in capsys.readouterr().out


def test_a_script_that_is_up_to_date_is_left_alone(bundle: Path, capsys: Any):
    call_command("build_charts")
    bundle.write_text(bundle.read_text().split("\n", 1)[0] + "\nkept")
    call_command("build_charts")
    assert bundle.read_text().endswith("kept")
    assert "up to date" in capsys.readouterr().out
    call_command("build_charts", "--force")
    assert not bundle.read_text().endswith("kept")


def test_a_script_of_another_version_is_written_anew(bundle: Path):
    bundle.parent.mkdir(parents=True)
    bundle.write_text("/* vl-convert 0.1, Vega-Lite 1.0 */\nold")
    call_command("build_charts")
    assert "old" not in bundle.read_text()[:200]
