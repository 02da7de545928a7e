"""What may be said to a change."""

from rest_framework import serializers

from fleet.api.inputs import Input, Text, Whole
from scheduling.services.decisions import NOTE_MAX

PERCENT_CEILING = 500  # no controller's percent_max may be higher


class ApproveInput(Input):
    """Without a value the change is approved as proposed; only a percent takes one."""

    value = Whole(required=False, allow_null=True, min_value=0, max_value=PERCENT_CEILING)
    note = Text(required=False, allow_blank=True, default="", max_length=NOTE_MAX)


class ProposeInput(Input):
    """Nothing needs to be said."""

    note = Text(required=False, allow_blank=True, default="", max_length=NOTE_MAX)


class DeclineInput(Input):
    """Say why, for the next person."""

    note = Text(max_length=NOTE_MAX)


class ApplyInput(Input):
    """The night from which it is in force at the controller."""

    applied_on = serializers.DateField()
    note = Text(required=False, allow_blank=True, default="", max_length=NOTE_MAX)


class UndoInput(Input):
    """Nothing needs to be said."""

    note = Text(required=False, allow_blank=True, default="", max_length=NOTE_MAX)
