"""Template tags for what was changed on the settings pages, in the words of the pages."""

from typing import Any

from django import template

from desk.sheets.named import as_it_is, words_of
from fleet.models import SettingEdit

register = template.Library()


@register.simple_tag
def edit_lines(edit: SettingEdit, units: str) -> list[dict[str, Any]]:
    """Return each field of an edit with what it was and what it became, as the form shows them."""
    named = words_of(edit.topic, units)
    lines = []
    for name in {**edit.before, **edit.after}:
        label, show = named.get(name, (name.replace("_", " "), as_it_is))
        lines.append(
            {
                "label": label,
                "was": show(edit.before[name]) if name in edit.before else "",
                "now": show(edit.after[name]) if name in edit.after else "",
            }
        )
    return lines
