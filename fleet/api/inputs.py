"""Bodies of requests: what isn't a known field of its known type is refused, never passed over or bent."""

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime
from math import isfinite
from typing import Any

from django.db import models
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.api.filters import BIGINT_MAX

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
TIME, OFFSET = r"[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?", r"([Zz]|[-+][0-9]{2}:?[0-9]{2})"
MOMENT = re.compile(f"{DAY.pattern}[Tt ]{TIME}{OFFSET}")
FIRST_DAY, LAST_DAY = date(1970, 1, 1), date(2199, 12, 31)


class Input(serializers.Serializer):
    """The fields a request may send; a misspelt one must not be passed over."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, dict) and (unknown := sorted(set(map(str, data)) - set(self.fields))):
            known = ", ".join(self.fields)
            raise serializers.ValidationError(
                {field: [f"There is no such field here; there is {known}."] for field in unknown}
            )
        return super().to_internal_value(data)


class Text(serializers.CharField):
    """Text as it was sent; a number isn't one."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"trim_whitespace": False, **kwargs})

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Trimmed(Text):
    """A name or a line: blanks around it aren't part of it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"trim_whitespace": True, **kwargs})


class Whole(serializers.IntegerField):
    """A whole number; a text of digits isn't one."""

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, str | bool):
            self.fail("invalid")
        return super().to_internal_value(data)


class Number(serializers.FloatField):
    """A number; neither a text of digits nor yes and no, and never endless."""

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, str | bool):
            self.fail("invalid")
        number = super().to_internal_value(data)
        if not isfinite(number):
            self.fail("invalid")
        return number


class YesNo(serializers.BooleanField):
    """``true`` or ``false`` and no other word for them."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("invalid", input=data)
        return data


class Day(serializers.DateField):
    """A date as ``2026-07-31``, in the years controllers live."""

    default_error_messages = {"far": f"Write a date from {FIRST_DAY} to {LAST_DAY}."}

    def to_internal_value(self, data: Any) -> date:
        if not isinstance(data, str) or not DAY.fullmatch(data):
            self.fail("invalid", format="YYYY-MM-DD")
        day: date = super().to_internal_value(data)
        if not FIRST_DAY <= day <= LAST_DAY:
            self.fail("far")
        return day


class Moment(serializers.DateTimeField):
    """A date and time with its offset as ``2026-07-31T06:15:00-07:00``, in the years controllers live."""

    default_error_messages = {
        "far": f"Write a moment from {FIRST_DAY} to {LAST_DAY}.",
        "offset": "Say the offset, such as 2026-07-31T06:15:00-07:00.",
    }

    def to_internal_value(self, value: Any) -> datetime:
        if not isinstance(value, str) or not MOMENT.fullmatch(value):
            self.fail(
                "offset" if isinstance(value, str) and DAY.match(value) else "invalid", format="ISO 8601"
            )
        try:
            moment = datetime.fromisoformat(value)
        except ValueError:
            self.fail("invalid", format="ISO 8601")
        if not FIRST_DAY < moment.date() < LAST_DAY:
            self.fail("far")
        return moment.astimezone(UTC)


class Word(serializers.ChoiceField):
    """One of the words there are."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, str):
            self.fail("invalid_choice", input=data)
        return super().to_internal_value(data)


@extend_schema_field({"type": "integer", "minimum": 1, "maximum": BIGINT_MAX})
class OwnRow(serializers.PrimaryKeyRelatedField):
    """The id of a row; one you may not see does not exist."""

    def __init__(self, *, model: type[Any], **kwargs: Any) -> None:
        self.model = model
        self.rows: dict[int, Any] | None = None
        super().__init__(queryset=model._default_manager.none(), **kwargs)

    def read_ahead(self, ids: Iterable[Any]) -> None:
        """Read the rows of many bodies at once; what is no id is refused in its own body."""
        wanted = {one for one in ids if _is_id(one)}
        self.rows = self.get_queryset().in_bulk(wanted) if wanted else {}

    def get_queryset(self) -> Any:
        return self.model._default_manager.visible_to(self.context["request"].user)

    def to_internal_value(self, data: Any) -> Any:
        if not _is_id(data):
            self.fail("incorrect_type", data_type=type(data).__name__)
        if self.rows is not None:
            return self.rows.get(data) or self.fail("does_not_exist", pk_value=data)
        return super().to_internal_value(data)


def _is_id(data: object) -> bool:
    return isinstance(data, int) and not isinstance(data, bool) and 0 < data <= BIGINT_MAX


class ModelInput(Input, serializers.ModelSerializer):
    """A body with the fields of a model, each taken as strictly as ``Input`` takes names.

    That a row is there once is checked by the service that writes it.
    """

    serializer_field_mapping = {
        **serializers.ModelSerializer.serializer_field_mapping,
        models.CharField: Trimmed,
        models.TextField: Text,
        models.FloatField: Number,
        models.BooleanField: YesNo,
        models.DateField: Day,
        models.PositiveSmallIntegerField: Whole,
    }
    serializer_choice_field = Word

    def get_validators(self) -> list[Any]:
        return []
