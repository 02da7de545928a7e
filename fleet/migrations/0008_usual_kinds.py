"""Every company begins with the usual kinds of zones."""

from dataclasses import asdict

from django.db import migrations

from fleet.numerics.kinds import KINDS


def begin(apps, schema_editor):
    preset = apps.get_model("fleet", "ZonePreset")
    for company in apps.get_model("fleet", "Company").objects.all():
        for kind in KINDS:
            preset.objects.create(company=company, **asdict(kind))


class Migration(migrations.Migration):
    dependencies = [("fleet", "0007_set_up_drafts")]
    operations = [migrations.RunPython(begin, migrations.RunPython.noop)]
