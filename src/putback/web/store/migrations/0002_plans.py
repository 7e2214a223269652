import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0001_first_tables"),
    ]

    operations = [
        migrations.CreateModel(
            name="PlanRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("goal", models.CharField(max_length=200)),
                ("position", models.BigIntegerField()),
                ("digest", models.CharField(max_length=64)),
                ("blob", models.BinaryField()),
                (
                    "logbook",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        to="store.logbookrow",
                    ),
                ),
            ],
            options={
                "db_table": "putback_plan",
                "constraints": [
                    models.UniqueConstraint(fields=("logbook", "goal"), name="one_plan_a_goal")
                ],
            },
        ),
    ]
