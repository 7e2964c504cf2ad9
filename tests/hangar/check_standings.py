"""What has become of the checks of one airframe: the site works that out for many at once."""

from datetime import datetime

from hangar.fleet.checks import Standing, standing
from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import Airframe, Binding, Check


def check_standings(
    airframe: Airframe, *, failsafe_digest: str | None, worked_at: datetime | None = None
) -> dict[str, Standing]:
    """The newest check of each kind with its standing; a kind that was never checked is left out."""
    fitting = current_fitting(airframe)
    bound = Binding.objects.filter(receiver=fitting.receiver_id).first() if fitting is not None else None
    newest = {check.kind: check for check in Check.objects.filter(fitting__airframe=airframe).order_by("at", "pk")}
    return {
        kind: standing(check, fitting=fitting, binding=bound, failsafe_digest=failsafe_digest, worked_at=worked_at)
        for kind, check in newest.items()
    }
