"""The steps of setting a site up: their order, their words, and what a post of each says."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from desk.set_up.boxes import MOST_BOXES, box_blanks, fresh_box
from desk.set_up.form import posted_texts
from desk.set_up.found_settings import letters_of, posted_found
from desk.set_up.parts import access_blanks, client_blanks, place_blanks
from desk.set_up.whole import Box, Whole
from desk.set_up.zone_rows import carried, posted_rows

Read = Callable[[Any, Whole, Box], Any]


@dataclass(frozen=True)
class Step:
    """One page of the set-up."""

    key: str
    label: str
    by_box: bool = False
    read: Read | None = None

    @property
    def writes(self) -> bool:
        """Tell whether anything is typed here."""
        return self.read is not None

    def part(self, box: Box) -> str:
        """Return the part of the draft this page writes."""
        return f"{self.key}-{box.key}" if self.by_box else self.key


def _client(post: Any, whole: Whole, box: Box) -> Any:
    return posted_texts(post, client_blanks(whole.draft, whole.user))


def _place(post: Any, whole: Whole, box: Box) -> Any:
    return posted_texts(post, place_blanks(whole.draft, whole.user))


def _water(post: Any, whole: Whole, box: Box) -> Any:
    return posted_texts(post, whole.water.blanks)


def _controllers(post: Any, whole: Whole, box: Box) -> Any:
    keys = [
        key
        for key in post.getlist("box-key")[:MOST_BOXES]
        if key.isascii() and key.isdecimal() and len(key) < 5
    ]
    rows = [{"k": key} | posted_texts(post, box_blanks(), prefix=f"{key}-") for key in dict.fromkeys(keys)]
    return {"rows": rows or [fresh_box("1", 1)]}


def _zones(post: Any, whole: Whole, box: Box) -> Any:
    before = whole.texts(f"zones-{box.key}").get("rows", [])
    return {"rows": carried(posted_rows(post), before)}


def _found(post: Any, whole: Whole, box: Box) -> Any:
    return posted_found(post, letters_of(int(box.fields["program_capacity"])), box.zones)


def _plan(post: Any, whole: Whole, box: Box) -> Any:
    used = {f"use-{one.key}": "yes" for one in whole.boxes if post.get(f"use-{one.key}")}
    return used | {name: text for name, text in posted_texts(post, whole.peak.blanks).items() if text}


def _access(post: Any, whole: Whole, box: Box) -> Any:
    return posted_texts(post, access_blanks())


STEPS = (
    Step("client", "Client", read=_client),
    Step("place", "Site", read=_place),
    Step("water", "Water", read=_water),
    Step("controllers", "Controllers", read=_controllers),
    Step("zones", "Zones", by_box=True, read=_zones),
    Step("found", "Settings found", by_box=True, read=_found),
    Step("plan", "Plan", read=_plan),
    Step("check", "Check"),
    Step("access", "Open access", read=_access),
)
BY_KEY = {step.key: step for step in STEPS}


def beside(step: Step, by: int) -> Step | None:
    """Return the step before or after another."""
    place = STEPS.index(step) + by
    return STEPS[place] if 0 <= place < len(STEPS) else None
