"""Drafts of sites: kept at every change, so that a closed browser loses nothing and nobody is overwritten."""

from typing import Any, NamedTuple

from django.db import transaction

from common.errors import MovedOn, Refused
from fleet.models import Company, SetUpDraft, User
from fleet.selectors.people import require_enter
from fleet.services.holding import held
from fleet.services.presets import begin_with_kinds

MOST_OPEN = 200
FINISHED = "This site was created already; the draft is kept as it was."
THEIRS = "Somebody saved this step meanwhile, here or on another device. Nothing was overwritten."


class Page(NamedTuple):
    """An open page: its own name, how many times it has saved, and the mark of what it showed at first."""

    name: str
    nth: int
    seen: str


class OtherWay(MovedOn):
    """Another page has written this part since; ``texts`` is what stands there now."""

    def __init__(self, texts: Any, who: str) -> None:
        super().__init__(THEIRS, current_status="edited")
        self.texts, self.who = texts, who


def start_draft(*, company: Company, by: User) -> SetUpDraft:
    """Begin a draft; technicians may, since they stand in the garden.

    Raises
    ------
    NotAllowed
        If the person doesn't work for the company.
    Refused
        If too many are open.
    """
    require_enter(by, company.pk)
    if SetUpDraft.objects.filter(company=company, finished_at=None).count() >= MOST_OPEN:
        raise Refused(f"{MOST_OPEN} drafts are open; create or discard some first.")
    begin_with_kinds(company)
    return SetUpDraft.objects.create(company=company, by=by, units=company.units)


def part_of(draft: SetUpDraft, part: str) -> Any:
    """Return the texts of a part, an empty mapping if nothing was written there."""
    return draft.data.get(part, {}).get("texts", {})


def mark_of(draft: SetUpDraft, part: str) -> str:
    """Return a mark of a part as it stands now, to travel with the page that shows it."""
    return str(draft.data.get(part, {}).get("version", 0))


def save_part(
    *,
    draft: SetUpDraft,
    by: User,
    part: str,
    texts: Any,
    page: Page,
    step: str = "",
    title: str | None = None,
) -> SetUpDraft:
    """Keep the texts of one part as they were typed.

    A later save of the same page never yields to an earlier one that was slower on its way.

    Raises
    ------
    NotAllowed
        If the person doesn't work for the company.
    MovedOn
        If the site was created already, or the draft discarded.
    OtherWay
        If another page has written other texts since this one was opened.
    """
    require_enter(by, draft.company_id)
    with transaction.atomic():
        now = held(draft)
        if now.finished_at is not None:
            raise MovedOn(FINISHED, current_status="created")
        kept = now.data.get(part, {})
        same_page = bool(page.name) and kept.get("page") == page.name
        if same_page and page.nth < kept.get("nth", 0):
            return now
        if kept.get("texts", {}) != texts:
            if not same_page and mark_of(now, part) != page.seen:
                raise OtherWay(kept.get("texts", {}), kept.get("who", ""))
            now.version += 1
            now.data[part] = {
                "texts": texts, "page": page.name, "nth": page.nth, "version": now.version, "who": str(by),
            }  # fmt: skip
        now.step = step or now.step
        now.title = now.title if title is None else title[:160]
        now.save(update_fields=["data", "version", "step", "title", "updated_at"])
    return now


def discard_draft(*, draft: SetUpDraft, by: User, seen: int) -> None:
    """Delete an open draft.

    Raises
    ------
    NotAllowed
        If the person doesn't work for the company.
    MovedOn
        If the site was created meanwhile, the draft discarded before, or somebody has written more than the
        person saw.
    """
    require_enter(by, draft.company_id)
    with transaction.atomic():
        now = held(draft)
        if now.finished_at is not None:
            raise MovedOn(FINISHED, current_status="created")
        if now.version != seen:
            raise MovedOn("Somebody has gone on with this draft; look again.", current_status="edited")
        now.delete()
