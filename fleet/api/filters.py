"""Filters that refuse a value they don't understand rather than leave it out."""

from typing import Any

from django import forms
from django_filters.rest_framework import DateFilter, Filter, FilterSet, TypedChoiceFilter
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field

BIGINT_MAX = 2**63 - 1
YES_NO = {"true": True, "True": True, "1": True, "false": False, "False": False, "0": False}


class Filters(FilterSet):
    """A set of filters in which one that is named must also say something."""

    def is_valid(self) -> bool:
        said = super().is_valid()
        for name in self.filters:
            if self.data.get(name) == "":
                self.form.add_error(name, "Give it a value or leave it out.")
        return said and bool(self.form.is_valid())


@extend_schema_field({"type": "integer", "minimum": 1, "maximum": BIGINT_MAX})
class IdFilter(Filter):
    """The id of a row. One that isn't yours matches nothing."""

    field_class = forms.IntegerField

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        super().__init__(field_name, min_value=1, max_value=BIGINT_MAX, **kwargs)


@extend_schema_field(OpenApiTypes.BOOL)
class YesNoFilter(TypedChoiceFilter):
    """``true`` or ``false``."""

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        super().__init__(
            field_name=field_name,
            choices=[(word, word) for word in YES_NO],
            coerce=YES_NO.__getitem__,
            **kwargs,
        )


class DayFilter(DateFilter):
    """A date as ``2026-07-31``."""

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        super().__init__(field_name, input_formats=["%Y-%m-%d"], **kwargs)
