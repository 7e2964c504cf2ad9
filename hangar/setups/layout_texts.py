"""Every text of the starting layouts in `fixtures/layouts/`, so that it is collected for translation.

A test holds this against the documents.
"""

from django.utils.translation import gettext_noop

SHARED_REMARK = gettext_noop(
    "Starting values for a new model: every linkage, chord, stop, mass and balance figure is an assumption. "
    "Take the balance from the plan, measure chords and throws at the model, and check every direction before "
    "the first flight."
)
"""What the remarks of every layout end with."""

TEXTS = (
    SHARED_REMARK,
    # Titles and descriptions
    gettext_noop("Rudder alone"),
    gettext_noop("One channel: a trainer that flies by itself and is only told where to turn."),
    gettext_noop("Rudder and elevator"),
    gettext_noop("Two channels: rudder on the right stick, elevator beside it, for a first glider."),
    gettext_noop("One servo for both ailerons"),
    gettext_noop(
        "A single servo in the middle of the wing moves both ailerons through opposite arms; with elevator, "
        "rudder and motor."
    ),
    gettext_noop("Two ailerons, motor"),
    gettext_noop(
        "Each aileron on its own servo with differential, elevator, rudder and an electric motor: the usual "
        "trainer and sport model."
    ),
    gettext_noop("V-tail glider"),
    gettext_noop("Two ailerons that go up together as a brake, and a V-tail for pitch and yaw."),
    gettext_noop("Inverted V-tail, pusher"),
    gettext_noop("Twin booms with an inverted V-tail, two ailerons and a motor behind the pod."),
    gettext_noop("Flying wing"),
    gettext_noop("Two elevons for roll and pitch, no rudder, for slope or bungee."),
    gettext_noop("Glider with spoilers"),
    gettext_noop(
        "Two ailerons, two spoilers in the wing's upper skin on one channel, elevator, rudder and tow release."
    ),
    gettext_noop("Four wing servos with crow"),
    gettext_noop(
        "Two ailerons and two flaps; one lever lowers the flaps, raises the ailerons and holds the nose with "
        "a little down elevator."
    ),
    gettext_noop("Six wing servos"),
    gettext_noop(
        "Two ailerons, two middle flaps and two inner flaps, with crow from the inner flaps and camber along "
        "the whole wing."
    ),
    gettext_noop("Flaperons"),
    gettext_noop(
        "Two surfaces along the whole wing: ailerons that also droop together for slow flight, with elevator, "
        "rudder and motor."
    ),
    gettext_noop("Tow plane"),
    gettext_noop(
        "Two ailerons, two landing flaps, an engine with its own switch, and a tow release that opens when "
        "the signal is lost."
    ),
    gettext_noop("Canard"),
    gettext_noop(
        "The pitch surface in front, two ailerons behind, rudder and a pusher motor; stick back lowers the "
        "canard's flap."
    ),
    gettext_noop("Electric glider with V-tail"),
    gettext_noop("Four wing servos with crow on the left lever, a V-tail, and the motor on a slider of its own."),
    gettext_noop("Motor and brake on one lever"),
    gettext_noop(
        "Electric glider with four wing servos: motor in the top quarter of the left lever, crow in its lower "
        "half, nothing between."
    ),
    gettext_noop("Motor glider"),
    gettext_noop(
        "A glider with spoilers and a motor on a pylon that folds in; the motor cannot start while the pylon is in."
    ),
    # Balance
    gettext_noop("wing root leading edge (placeholder: take datum and range from the plan)"),
    gettext_noop("Ready to fly (placeholder)"),
    # Controls
    gettext_noop("Aileron stick"),
    gettext_noop("Elevator stick"),
    gettext_noop("Rudder stick"),
    gettext_noop("Left stick, up and down"),
    gettext_noop("Motor switch"),
    gettext_noop("Left lever"),
    gettext_noop("Right slider"),
    gettext_noop("Phase switch"),
    gettext_noop("Pylon switch"),
    gettext_noop("Turn stick"),
    gettext_noop("Release switch"),
    gettext_noop("Engine switch"),
    # Ends of controls
    gettext_noop("right"),
    gettext_noop("back"),
    gettext_noop("forward"),
    gettext_noop("on"),
    gettext_noop("away from you"),
    gettext_noop("out"),
    gettext_noop("open"),
    gettext_noop("engine may run"),
    # Surfaces and devices
    gettext_noop("Right aileron"),
    gettext_noop("Left aileron"),
    gettext_noop("Canard"),
    gettext_noop("Rudder"),
    gettext_noop("Motor"),
    gettext_noop("Left V-tail panel"),
    gettext_noop("Right V-tail panel"),
    gettext_noop("Right flap"),
    gettext_noop("Left flap"),
    gettext_noop("Right elevon"),
    gettext_noop("Left elevon"),
    gettext_noop("Right flaperon"),
    gettext_noop("Left flaperon"),
    gettext_noop("Elevator"),
    gettext_noop("Right spoiler"),
    gettext_noop("Left spoiler"),
    gettext_noop("Motor pylon"),
    gettext_noop("Both spoilers"),
    gettext_noop("Both ailerons"),
    gettext_noop("Right inner flap"),
    gettext_noop("Left inner flap"),
    gettext_noop("Right middle flap"),
    gettext_noop("Left middle flap"),
    gettext_noop("Tow release"),
    gettext_noop("Throttle"),
    # Pairs
    gettext_noop("aileron"),
    gettext_noop("v_tail"),
    gettext_noop("flap"),
    gettext_noop("elevon"),
    gettext_noop("flaperon"),
    gettext_noop("spoiler"),
    gettext_noop("inner flap"),
    gettext_noop("middle flap"),
    # Where a ruler goes, and neutral
    gettext_noop("widest chord"),
    gettext_noop("flush with what is fixed beside it"),
    gettext_noop("lower end"),
    gettext_noop("in line with the fin"),
    gettext_noop("widest chord, square to the panel"),
    gettext_noop("root end"),
    gettext_noop("middle of the blade"),
    gettext_noop("flush with the wing's skin"),
    # Remarks
    gettext_noop("Stick back lowers the surface in front: that raises the nose."),
    gettext_noop(
        "Neutral of a flying wing is seldom flush: enter the reflex that the plan gives as what neutral is flush with."
    ),
    gettext_noop(
        "The pylon's travel takes time: wait until it is out before giving power, and stop the motor before it goes in."
    ),
    gettext_noop(
        "One servo moves both ailerons: as one goes up the other goes down by the same, so there is no differential."
    ),
    gettext_noop("With the engine switch off the throttle stays closed; the stick's lower end is idle."),
    # Phases
    gettext_noop("Cruise"),
    gettext_noop("Thermal"),
    gettext_noop("Speed"),
)
