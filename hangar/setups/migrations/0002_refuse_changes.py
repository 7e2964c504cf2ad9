from typing import ClassVar

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation

from hangar.setups import triggers


def install(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.install(schema_editor.connection)


def remove(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies: ClassVar[list[tuple[str, str]]] = [("setups", "0001_initial")]
    operations: ClassVar[list[Operation]] = [migrations.RunPython(install, remove)]
