"""A month in an address: ``2026-07``."""

from datetime import date

from django.urls.converters import register_converter


class MonthConverter:
    """Turns ``2026-07`` into the first of July; what isn't a month finds no page."""

    regex = "[0-9]{4}-[0-9]{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(f"{value}-01")  # a ValueError means 404

    def to_url(self, value: date) -> str:
        return f"{value.year:04d}-{value.month:02d}"


register_converter(MonthConverter, "month")
