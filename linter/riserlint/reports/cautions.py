"""The usual cautions, and what no review looks at: shown once in each report."""

from typing import Final

CAUTIONS: Final = (
    "This is a check of stated numbers: no design, no approval and no certification. The adopted edition of the code "
    "with its local amendments, the authority having jurisdiction and licensed practice decide.",
    "Mains circuits, receptacles, transfer switches and hard-wired UPSs are work for a qualified electrician. A UPS "
    "output and its battery stay live when the mains is off; battery strings can be lethal and burn.",
    "Before work: isolate and prove dead; protect against falls; look for asbestos, hidden services and fire-rated "
    "walls, and restore every fire-stop. Hot bundles and exposed outdoor copper in a storm are hazards too.",
    "Doors on escape routes must open without power and network; egress and life safety come before security.",
)

NOT_REVIEWED: Final = (
    "fire alarm",
    "egress and locks",
    "emergency lighting",
    "radio coverage",
    "structure and fixings",
    "separation from mains and power cables",
    "electrical noise",
    "loop protection (spanning tree)",
    "spare ports and growth",
    "labels",
)
