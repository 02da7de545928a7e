"""Template filters for what meters show."""

from django import template

from desk import meter_words

register = template.Library()
register.filter("reads", meter_words.register)


@register.filter
def chart_id(pk: int) -> str:
    """Return the name of a meter's chart on its page."""
    return f"chart-meter-{pk}"
