"""Which changes to list."""

from django_filters.rest_framework import MultipleChoiceFilter

from fleet.api.filters import DayFilter, Filters, IdFilter, YesNoFilter
from scheduling.models import Change


class ChangeFilters(Filters):
    """``status`` and ``kind`` may be given several times; the two dates are included."""

    status = MultipleChoiceFilter(field_name="status", choices=Change.Status.choices)
    kind = MultipleChoiceFilter(field_name="kind", choices=Change.Kind.choices)
    client = IdFilter("program__controller__site__client")
    site = IdFilter("program__controller__site")
    controller = IdFilter("program__controller")
    program = IdFilter("program")
    run = IdFilter("run")
    automatic = YesNoFilter("automatic")
    effective_from_after = DayFilter("effective_from", lookup_expr="gte")
    effective_from_before = DayFilter("effective_from", lookup_expr="lte")
