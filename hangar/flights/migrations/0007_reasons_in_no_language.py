from typing import Any

from django.db import migrations
from django.db.models import Case, Value, When

_REBUILT = "rebuilt: "


def into_codes(apps: Any, schema_editor: Any) -> None:
    grounding = apps.get_model("flights", "Grounding")
    grounding.objects.filter(cause__in=("flight", "first_flight")).update(reason="")
    for row in grounding.objects.filter(cause="rebuild", reason__startswith=_REBUILT):
        row.reason = row.reason.removeprefix(_REBUILT)
        row.save(update_fields=["reason"])
    waiting = Case(When(state="grounded", then=Value("grounded")), default=Value("look first"))
    apps.get_model("flights", "Glance").objects.update(stale=True, state=waiting, reasons=[["just-now", {}]])


class Migration(migrations.Migration):
    """What the site itself said of a grounding is said when it is read; the rows of the line-up are worked out anew."""

    dependencies = [("flights", "0006_codes_for_the_line_up")]

    operations = [migrations.RunPython(into_codes, migrations.RunPython.noop)]
