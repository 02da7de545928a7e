"""What people type into the set-up pages in tests: all invented."""

from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from fleet.models import SetUpDraft, ZonePreset

CLIENT = {"existing": "", "name": "Marsh Court", "email": "", "phone": "", "note": ""}
PLACE = {
    "name": "Court", "address": "12 Elm Street, Grass Valley, CA 95945", "place": "", "elevation": "1020",
    "timezone": "", "season": "open", "watering_rule": "", "tariff": "",
}  # fmt: skip
WATER = {
    "existing": "", "name": "Tap", "kind": "potable", "flow": "", "pressure": "58", "bucket": "5",
    "seconds": "20",
}  # fmt: skip
BOX = {
    "box-key": "1", "1-name": "Garage", "1-kind": "typical", "1-delivery": "office", "1-rain_sensor": "yes",
}  # fmt: skip


def start(browser: Browser) -> SetUpDraft:
    browser.post(reverse("desk:set-up"))
    return SetUpDraft.objects.latest("pk")


def say(browser: Browser, draft: SetUpDraft, step: str, texts: dict[str, Any], **more: Any) -> Any:
    """Type into a step as a page opened just now, and press a button."""
    draft.refresh_from_db()
    box = more.pop("box", "")
    part = f"{step}-1" if step in ("zones", "found") else step
    seen = str(draft.data.get(part, {}).get("version", 0))
    usual = {"page": "one", "seen": seen, "nth": "0", "do": "next"}
    address = reverse(f"desk:set-up-{step}", args=[draft.pk]) + (f"?box={box}" if box else "")
    headers = more.pop("headers", None)
    return browser.post(address, usual | texts | more, headers=headers)


def zone_texts(count: int = 12, **fields: str) -> dict[str, Any]:
    kind = ZonePreset.objects.earliest("pk").pk
    texts: dict[str, Any] = {"row": [str(n) for n in range(count)]}
    for n in range(count):
        row = {
            "k": str(n + 1),
            "number": str(n + 1),
            "name": f"Lawn {n + 1}",
            "kind": str(kind),
            "area": str(800 + n),
        }
        texts |= {f"{n}-{key}": text for key, text in (row | fields).items()}
    return texts


def found_texts(count: int = 12) -> dict[str, str]:
    heads = {"A-days": "Mon Wed Fri", "A-starts": "4:00 am, 22:30", "A-percent": "110"}
    return heads | {f"z{n}-A": "12" for n in range(1, count + 1)} | {"z1-cycle": "6", "z1-soak": "30"}


def say_all(browser: Browser, draft: SetUpDraft) -> None:
    for step, texts in (
        ("client", CLIENT), ("place", PLACE), ("water", WATER), ("controllers", BOX), ("zones", zone_texts()),
        ("found", found_texts()),
    ):  # fmt: skip
        answer = say(browser, draft, step, texts)
        assert answer.status_code == 302, (step, answer.content.decode())
