"""The order of the week's changes, sorted in the database so that a page of them can be taken."""

from typing import Any

from django.db.models import F, FloatField, Max, QuerySet, Value, Window
from django.db.models.functions import Abs, Coalesce, Lower

from scheduling.models import Change

SORTS = ("client", "water", "risk")
_CONTROLLER = "program__controller"
_SITE = f"{_CONTROLLER}__site"
_CLIENT = f"{_SITE}__client"
_STEP = 1e9  # above any litres: levels of risk come first, water decides among equals
_BY_PLACE: tuple[Any, ...] = (
    Lower(f"{_CLIENT}__name"),
    f"{_SITE}__client_id",
    Lower(f"{_SITE}__name"),
    f"{_CONTROLLER}__site_id",
    f"{_CONTROLLER}__name",
    "program__letter",
    "kind",
    "-pk",
)


def in_order(changes: QuerySet[Change], *, sort: str) -> QuerySet[Change]:
    """Return changes client by client, or with those clients and sites first that weigh most."""
    if sort == "client":
        return changes.order_by(*_BY_PLACE)
    weight = _water() if sort == "water" else _risk()
    return changes.alias(
        weight=weight,
        weight_of_client=Window(Max(weight), partition_by=F(f"{_SITE}__client_id")),
        weight_of_site=Window(Max(weight), partition_by=F(f"{_CONTROLLER}__site_id")),
    ).order_by(
        "-weight_of_client",
        f"{_SITE}__client_id",
        "-weight_of_site",
        f"{_CONTROLLER}__site_id",
        "-weight",
        "-pk",
    )


def _water() -> Any:
    return Abs(Coalesce(F("effect_litres"), Value(0.0)), output_field=FloatField())


def _risk() -> Any:
    levels = F("risk_keep_level") * 10.0 + F("risk_change_level") * 1.0
    return Coalesce(levels * _STEP + _water(), Value(0.0), output_field=FloatField())
