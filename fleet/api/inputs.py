"""Bodies of requests: what isn't a known field is refused, for a misspelt one must not be passed over."""

from typing import Any

from rest_framework import serializers


class Input(serializers.Serializer):
    """The fields a request may send."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, dict) and (unknown := sorted(set(map(str, data)) - set(self.fields))):
            known = ", ".join(self.fields)
            raise serializers.ValidationError(
                {field: [f"There is no such field here; there is {known}."] for field in unknown}
            )
        return super().to_internal_value(data)
