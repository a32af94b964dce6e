"""The basis of design: criteria, allowances, assumed values and rule parameters that a repository's designs share."""

from typing import Annotated, Any, Literal

from pydantic import Field

from riserlint.design.models import (
    Ac,
    Bundle,
    Cable,
    Circuit,
    Cord,
    DesignFile,
    Device,
    Draw,
    Gateway,
    Inlet,
    InlineValues,
    NonNegative,
    PartsFile,
    Pathway,
    Pd,
    Port,
    Pse,
    Region,
    Role,
    Run,
    Space,
    Supply,
    Switch,
    Text,
    Ups,
    Vlan,
    Written,
)

Level = Literal["error", "warning", "note"]


class BasisHead(Written):
    """``[basis]``: what is agreed, which editions are adopted, and what holds a review."""

    title: Text | None = None
    revision: Text | None = None
    region: Region | None = None
    editions: dict[str, Text] = {}
    hold_on_open: bool = False
    memory_at_most: Literal["warning", "note"] | None = None


class Allowance(Written):
    """What is added to a length that comes from a drawing: a share of it, and metres for rise, drop and slack.

    ``spare_share`` is what schedules add to cable that is ordered.
    """

    share: Annotated[float, Field(ge=0, le=1)] | None = None
    m: NonNegative | None = None
    spare_share: Annotated[float, Field(ge=0, le=1)] | None = None


class Assumed(Written):
    """Values that the basis assumes where a design says nothing, by kind of thing."""

    space: Space | None = None
    cable: Cable | None = None
    cord: Cord | None = None
    cord_cable: Cable | None = None
    pathway: Pathway | None = None
    bundle: Bundle | None = None
    circuit: Circuit | None = None
    ups: Ups | None = None
    ac: Ac | None = None
    pse: Pse | None = None
    port: Port | None = None
    pd: Pd | None = None
    inlet: Inlet | None = None
    draw_w: Draw | None = None
    supply: Supply | None = None
    switch: Switch | None = None
    inline: InlineValues | None = None
    device: Device | None = None
    run: Run | None = None
    role: Role | None = None
    vlan: Vlan | None = None
    gateway: Gateway | None = None


class BasisFile(Written):
    """A whole basis file; ``rule`` holds parameters that each rule checks for itself."""

    basis: BasisHead = BasisHead.model_construct()
    allowance: Allowance = Allowance.model_construct()
    assume: Assumed = Assumed.model_construct()
    rule: dict[str, dict[str, Any]] = {}


class AnyFile(Written):
    """One file of any kind, under the name of its kind.

    Most models are part of two kinds of file or of all. Read through one root, their schemas are made once; read
    each by itself, once for each kind, which takes longer than all else in reading a small design.
    """

    design: DesignFile | None = None
    parts: PartsFile | None = None
    basis: BasisFile | None = None
