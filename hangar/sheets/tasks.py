"""What workers do for this package: `manage.py db_worker` runs one, where HANGAR_TASKS is `worker`."""

from django_tasks import task

from .batches import make_item


@task()
def make_sheet(item: int) -> None:
    """Make one sheet of a batch."""
    make_item(item)
