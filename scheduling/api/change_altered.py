"""What a change of minutes, days or programs keys in, as it is read."""

from rest_framework import serializers


class RunHeld(serializers.Serializer):
    """One zone in a program: minutes at 100 percent, longest cycle and soak between cycles in minutes."""

    zone = serializers.IntegerField()
    number = serializers.IntegerField()
    name = serializers.CharField(allow_blank=True)
    minutes = serializers.FloatField()
    cycle = serializers.FloatField(allow_null=True)
    soak = serializers.FloatField(allow_null=True)


class ProgramHeld(serializers.Serializer):
    """Everything a program holds; its runs in their order."""

    days = serializers.CharField()
    starts = serializers.ListField(child=serializers.CharField())
    percent = serializers.IntegerField()
    runs = RunHeld(many=True)


class ProgramAltered(serializers.Serializer):
    """One program before and after; ``program`` and ``before`` are null for a letter not in use yet."""

    program = serializers.IntegerField(allow_null=True)
    letter = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    before = ProgramHeld(allow_null=True)
    after = ProgramHeld()


class ChangeAltered(serializers.Serializer):
    """Every program the change touches, first the one it hangs on."""

    programs = ProgramAltered(many=True)
