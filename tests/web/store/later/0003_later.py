"""A column more."""  # noqa: N999 - Django names them so

from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds a colour to every logbook."""

    dependencies = (("store", "0002_plans"),)
    operations = (
        migrations.AddField("logbookrow", "colour", models.CharField(default="", max_length=20)),
    )
