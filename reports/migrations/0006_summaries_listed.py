"""What lists of summaries go by stands in columns of its own, beside the figures it comes from."""

from django.db import migrations, models


def told_apart(apps, schema_editor):
    summary = apps.get_model("reports", "Summary")
    for row in summary.objects.iterator(chunk_size=200):
        row.empty = str(row.figures.get("empty") or "")[:200]
        row.adequacy = row.figures.get("adequacy")
        row.save(update_fields=["empty", "adequacy"])


class Migration(migrations.Migration):
    dependencies = [("reports", "0005_months_of_sites")]

    operations = [
        migrations.AddField(
            model_name="summary",
            name="adequacy",
            field=models.FloatField(blank=True, editable=False, null=True, verbose_name="need met"),
        ),
        migrations.AddField(
            model_name="summary",
            name="empty",
            field=models.CharField(
                blank=True, editable=False, max_length=200, verbose_name="nothing to tell because"
            ),
        ),
        migrations.RunPython(told_apart, migrations.RunPython.noop),
    ]
