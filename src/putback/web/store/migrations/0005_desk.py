import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0004_roles_by_the_trades_words"),
    ]

    operations = [
        migrations.CreateModel(
            name="QuestionRow",
            fields=[
                ("id", models.CharField(max_length=32, primary_key=True, serialize=False)),
                ("kind", models.CharField(max_length=40)),
                ("args", models.TextField()),
                ("basis", models.TextField()),
                ("asked_at", models.CharField(max_length=40)),
                ("stage", models.CharField(max_length=20)),
                ("words", models.TextField()),
                ("fraction", models.FloatField(null=True)),
                ("answer", models.BinaryField(null=True)),
                ("fault", models.TextField()),
                ("place", models.TextField()),
                ("remedy", models.TextField()),
                ("planner", models.CharField(max_length=200)),
                ("touched_at", models.CharField(max_length=40)),
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
                "db_table": "putback_question",
                "indexes": [
                    models.Index(fields=["stage", "asked_at"], name="questions_that_wait"),
                    models.Index(
                        fields=["logbook", "kind", "asked_at"], name="questions_of_a_kind"
                    ),
                ],
            },
        ),
    ]
