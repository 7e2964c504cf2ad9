"""Whether this process lives, and whether it can serve: for a supervisor or a proxy, with nothing that a stranger could
use."""

from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, InterfaceError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from hangar.setups import triggers


@login_not_required
@never_cache
@require_safe
def alive(request: HttpRequest) -> JsonResponse:
    """Asks nothing of the database: a process that answers need not be started anew."""
    return JsonResponse({"status": "alive"})


@login_not_required
@never_cache
@require_safe
def ready(request: HttpRequest) -> JsonResponse:
    """503 and the reason, in a word, where a member could not use the site now."""
    reason = unready()
    return JsonResponse({"status": reason or "ready"}, status=503 if reason else 200)


def unready() -> str:
    """Why the site cannot serve; "" where it can."""
    try:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            return "tables are not up to date"
        if triggers.missing(connection):
            return "history is not protected"
    except (DatabaseError, InterfaceError):
        return "no database"
    return ""
