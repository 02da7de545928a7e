"""README's lines for the API, run as they stand against a live server."""

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as django_settings
from django.core.cache import cache

from fleet.models import Client, Zone
from scheduling.models import Program
from tests.cast import TODAY, a_cast, person

README = (Path(django_settings.BASE_DIR) / "README.md").read_text()
LINES = re.search(r"```bash\n(API=.*?)```", README, re.S).group(1)
ADDRESS = "http://127.0.0.1:8000"


@pytest.mark.skipif(not shutil.which("curl"), reason="curl is not installed")
@pytest.mark.django_db(transaction=True)
def test_the_lines_for_the_api_do_what_they_say(live_server: Any, settings: Any) -> None:
    settings.AS_OF = TODAY
    cache.clear()
    cast = a_cast()
    owner = person("owner@bluestem.example")
    owner.set_password("bluestem-demo")
    owner.save()
    owner.memberships.create(company=cast.company, role="owner")
    assert ADDRESS in LINES
    done = subprocess.run(
        ["bash", "-eu", "-o", "pipefail", "-c", LINES.replace(ADDRESS, live_server.url)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    approved, program, zone = documents(done.stdout)
    assert (approved["id"], approved["status"]) == (cast.change.pk, "approved")
    assert (program["letter"], program["runs"][0]["minutes"]) == ("A", 24.0)
    assert zone["uniformity"] == 0.72
    site = Client.objects.get(name="Example School").sites.get()
    assert Zone.objects.get(controller__site=site).uniformity == 0.72
    assert Program.objects.get(controller__site=site).effective.isoformat() == "2026-07-14"


def documents(text: str) -> list[dict[str, Any]]:
    """Return the JSON documents that follow one another in a text."""
    found, decoder = [], json.JSONDecoder()
    while text.strip():
        one, end = decoder.raw_decode(text.strip())
        found.append(one)
        text = text.strip()[end:]
    return found
