from typing import Any

from django.db import migrations

WORDS = {"writer": "worker", "reader": "viewer"}


def rename(apps: Any, schema_editor: Any) -> None:
    rows = apps.get_model("store", "RoleRow").objects.using(schema_editor.connection.alias)
    for old, new in WORDS.items():
        rows.filter(role=old).update(role=new)


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0003_people"),
    ]

    operations = [migrations.RunPython(rename, migrations.RunPython.noop)]
