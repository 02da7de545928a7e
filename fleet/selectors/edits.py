"""What was changed on the settings pages, newest first."""

from fleet.models import SettingEdit, User

SHOWN = 20


def edits_of(user: User, company_id: int, topic: str, *, row: int | None = None) -> list[SettingEdit]:
    """Return the latest edits of a topic, or of one row of it, with who made them; one query."""
    edits = SettingEdit.objects.visible_to(user).of_company(company_id).filter(topic=topic)
    if row is not None:
        edits = edits.filter(row=row)
    return list(edits.select_related("by", "undoes").order_by("-id")[:SHOWN])


def newest_can_be_undone(edits: list[SettingEdit]) -> SettingEdit | None:
    """Return the newest edit if it changed something and isn't itself the taking back of another."""
    if edits and edits[0].what == "changed" and edits[0].undoes_id is None:
        return edits[0]
    return None
