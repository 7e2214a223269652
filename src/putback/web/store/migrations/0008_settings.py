import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0007_planners_lost"),
    ]

    operations = [
        migrations.CreateModel(
            name="SettingRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40)),
                ("value", models.TextField()),
                (
                    "logbook",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="store.logbookrow",
                    ),
                ),
            ],
            options={
                "db_table": "putback_setting",
                "constraints": [
                    models.UniqueConstraint(fields=("logbook", "name"), name="one_setting_a_name")
                ],
            },
        ),
    ]
