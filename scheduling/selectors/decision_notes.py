"""What people wrote when they decided."""

from collections.abc import Sequence

from scheduling.models import ChangeEvent


def decision_notes(change_ids: Sequence[int]) -> dict[int, str]:
    """Return the latest note of each change, by its id; one query."""
    events = ChangeEvent.objects.filter(change__in=change_ids).exclude(note="").order_by("pk")
    return dict(events.values_list("change_id", "note"))
