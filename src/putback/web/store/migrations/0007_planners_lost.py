from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0006_passes"),
    ]

    operations = [
        migrations.AddField(
            model_name="questionrow",
            name="lost",
            field=models.IntegerField(default=0),
        ),
    ]
