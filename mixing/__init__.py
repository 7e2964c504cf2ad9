"""The computation: what every surface of a model does for every position of its controls.

Pure: no Django, no input or output, no clock. Signs, words and the order of evaluation are those of the
project's DEVELOPERS.md; angles are degrees, lengths mm, pulses µs, positions and travel %.
"""

from . import calibrate, solve
from .audit import Finding, audit
from .authority import Remaining, authority, authority_left
from .compare import Change, as_built_changes, compare
from .conventions import Conventions
from .document import Setup
from .envelope import Envelope, Extent, envelope
from .errors import LinkageError, PositionError, Problem, ResponseError, SetupError, ThrowError, Unreachable
from .linkage import FourBar, Measured, Unmeasured
from .merge import Conflict, Merged, merge
from .response import Response
from .rig import Frame, Rig
from .throws import deflection_deg, throw_mm
from .transplant import Transplanted, mirror, transplant

__all__ = [
    "Change",
    "Conflict",
    "Conventions",
    "Envelope",
    "Extent",
    "Finding",
    "FourBar",
    "Frame",
    "LinkageError",
    "Measured",
    "Merged",
    "PositionError",
    "Problem",
    "Remaining",
    "Response",
    "ResponseError",
    "Rig",
    "Setup",
    "SetupError",
    "ThrowError",
    "Transplanted",
    "Unmeasured",
    "Unreachable",
    "as_built_changes",
    "audit",
    "authority",
    "authority_left",
    "calibrate",
    "compare",
    "deflection_deg",
    "envelope",
    "merge",
    "mirror",
    "solve",
    "throw_mm",
    "transplant",
]
