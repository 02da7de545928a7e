"""Bodies of requests: what isn't a known field of its known type is refused, never passed over or bent."""

from typing import Any

from rest_framework import serializers


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


class Whole(serializers.IntegerField):
    """A whole number; a text of digits isn't one."""

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)
