from django.db import migrations


def forget_the_daily_advice(apps, schema_editor):
    """Take the clock's row off that made advice once a day: it follows each night by itself now."""
    tasks = apps.get_model("django_celery_beat", "PeriodicTask").objects
    tasks.filter(name="advice", task="scheduling.advice").delete()


class Migration(migrations.Migration):

    dependencies = [
        ("django_celery_beat", "0001_initial"),
        ("scheduling", "0007_alterations"),
    ]

    operations = [migrations.RunPython(forget_the_daily_advice, migrations.RunPython.noop, elidable=True)]
