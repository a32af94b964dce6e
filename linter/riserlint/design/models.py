"""The models of what is written in a design file and in a parts file.

Every physical key is optional: a key left out, or written ``"unknown"``, is unknown and never a default.
``"none"`` or ``[]`` says that there is none. The unit stands in the key's name.
"""

# No postponed annotations here: pydantic would have to evaluate each of them a second time.
from datetime import date as Date  # noqa: N812 - a model has a key of that name
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag

from riserlint.design.marks import Address, FireClass, GearAddress, IpCode, Jackets, Prefix

Region = Literal["north-america", "europe", "international"]
Origin = Literal["measured", "nameplate", "drawing", "stated", "assumed"]
Material = Literal["copper", "copper-clad-aluminium"]
Strand = Literal["solid", "stranded"]
PoeClass = Literal[0, 1, 2, 3, 4, 5, 6, 7, 8]
PortClass = Literal[0, 1, 2, 3, 4, 5, 6, 7, 8, "none"]
Scheme = Literal["ieee", "passive"]
Priority = Literal["critical", "high", "low"]

NonNegative = Annotated[float, Field(ge=0)]
Positive = Annotated[float, Field(gt=0)]
Share = Annotated[float, Field(gt=0, le=1)]
Celsius = Annotated[float, Field(ge=-60, le=120)]
Count = Annotated[int, Field(ge=0)]
Text = Annotated[str, Field(min_length=1)]


class Written(BaseModel):
    """Base of all that is read: strict types, frozen, unknown keys refused, no NaN or infinity."""

    model_config = ConfigDict(
        strict=True,
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        defer_build=True,
        populate_by_name=False,
    )


class RatedPoint(Written):
    """Watts that hold at an input voltage, up to an ambient, or both: one point of what a maker states."""

    w: NonNegative
    volts: Positive | None = None
    max_c: Celsius | None = None


def _number_or_points(value: Any) -> str:
    """Tell which of the two ways of writing watts is meant, so that a problem speaks of that one alone."""
    return "points" if isinstance(value, list | tuple) else "number"


Points = Annotated[tuple[RatedPoint, ...], Field(strict=False, min_length=1), Tag("points")]
#: Watts as one number, or by points of input voltage and ambient.
RatedWatts = Annotated[Annotated[Positive, Tag("number")] | Points, Discriminator(_number_or_points)]
#: The same for a budget, which may be nothing, or ``"none"``.
Budget = Annotated[
    Annotated[NonNegative | Literal["none"], Tag("number")] | Points, Discriminator(_number_or_points)
]
GroupBudget = Annotated[Annotated[NonNegative, Tag("number")] | Points, Discriminator(_number_or_points)]


class Head(Written):
    """``[design]``: the title block, the parts files, and the origin of every value that states none."""

    title: Text
    revision: Text | None = None
    stage: Literal["concept", "construction", "as-found", "as-built"] | None = None
    region: Region | None = None
    date: Date | None = None
    parts: Annotated[tuple[Text, ...], Field(strict=False)] = ()
    origin: Origin | None = None


class Space(Written):
    """A place that gear stands in or a run passes: its temperatures, the heat carried off, and where it is.

    ``exposure``: indoor; sheltered (outdoors, on a wall under a roof); outdoor (open to sky and lightning: mast,
    pole, roof, pontoon, open wall); underground (buried, or in a duct in the ground). ``air``: whether it handles
    air, as a plenum or inside a duct.
    """

    max_c: Celsius | None = None
    mean_c: Celsius | None = None
    cooling_w: NonNegative | None = None
    building: Text | None = None
    floor: float | None = None
    air: Literal["plenum", "duct", "none"] | None = None
    exposure: Literal["indoor", "sheltered", "outdoor", "underground"] | None = None


class Cable(Written):
    """A kind of cable, for links and for cords."""

    category: Literal["3", "5", "5e", "6", "6A", "7", "7A", "8"] | None = None
    conductor_awg: Annotated[int, Field(ge=20, le=32)] | None = None
    material: Material | None = None
    strand: Strand | None = None
    screen: Literal["none", "foil", "braid"] | None = None
    outer_mm: Annotated[float, Field(gt=1, lt=30)] | None = None
    rated_c: Annotated[float, Field(ge=40, le=200)] | None = None
    listed_a: Annotated[float, Field(gt=0, lt=5)] | None = None
    jacket: Jackets | None = None
    fire_class: FireClass | None = None


class Pathway(Written):
    """What carries a bundle, and the space that it lies in.

    ``raceway``: rigid-metal is heavy or intermediate threaded conduit, metal any other metal raceway; ``bonded``:
    the metal of the raceway, at both ends. ``fire_rated_shaft``: it lies in one, with a fire-stop at each floor.
    """

    kind: Literal["open-tray", "free-air", "closed-conduit", "insulated"] | None = None
    space: Text | None = None
    insulation_mm: Positive | None = None
    raceway: Literal["rigid-metal", "metal", "nonmetallic", "none"] | None = None
    bonded: bool | None = None
    fire_rated_shaft: bool | None = None


class Bundle(Written):
    """Cables that lie together: the runs name it; ``others`` counts the cables in it that are not in the file."""

    pathway: Text | None = None
    others: Count | None = None
    others_powered: bool | None = None


class Circuit(Written):
    """A branch circuit: ``from`` is ``"mains"``, ``"generator"`` or the id of a UPS; its nominal voltage.

    ``others_w`` are the watts of what else runs on it, beside the gear of the file.
    """

    from_: Text | None = Field(None, alias="from")
    volts: Positive | None = None
    breaker_a: Positive | None = None
    rated_100: bool | None = None
    others_w: NonNegative | None = None
    others_power_factor: Share | None = None


class RuntimePoint(Written):
    """One point of a UPS's stated runtime: minutes at a load, with a new battery."""

    w: Positive
    min: Positive


class Shed(Written):
    """What is switched off in an outage, so many minutes after the mains failed: gear, and all of some roles."""

    after_min: NonNegative
    gear: Annotated[tuple[Text, ...], Field(strict=False)] = ()
    roles: Annotated[tuple[Text, ...], Field(strict=False)] = ()


class Ups(Written):
    """An uninterruptible power supply with its ratings and its battery."""

    from_: Text | None = Field(None, alias="from")
    space: Text | None = None
    volts: Positive | None = None
    rated_va: Positive | None = None
    rated_w: Positive | None = None
    efficiency: Share | None = None
    input_power_factor: Share | None = None
    recharge_w: NonNegative | None = None
    chemistry: Literal["lead-acid", "lithium"] | None = None
    battery_wh: Positive | None = None
    battery_date: Date | None = None
    design_life_years: Positive | None = None
    tested_capacity: Share | None = None
    runtime: Annotated[tuple[RuntimePoint, ...], Field(strict=False, min_length=1)] | None = None
    works_to_c: Celsius | None = None
    bypass: bool | None = None
    managed_in: Text | None = None
    address: GearAddress | None = None
    reserved: bool | None = None
    sheds: Annotated[tuple[Shed, ...], Field(strict=False)] | None = None


class Ac(Written):
    """The mains input of gear: its own use (also while it starts), efficiency to its PoE outlets, power factor."""

    own_w: NonNegative | None = None
    start_w: NonNegative | None = None
    efficiency: Share | None = None
    power_factor: Share | None = None


class BudgetGroup(Written):
    """Ports that share a budget of their own within that of the whole source."""

    ports: Text
    budget_w: GroupBudget | None = None


class Start(Written):
    """How a source starts its loads after an outage: so many ports that have one at a time, so many seconds apart."""

    ports: Annotated[int, Field(ge=1)]
    every_s: Positive


class Pse(Written):
    """The power sourcing side: type, least and nominal voltage at the port, budget, and how it is reserved."""

    type: Literal[1, 2, 3, 4] | None = None
    scheme: Scheme | None = None
    min_v: Positive | None = None
    nominal_v: Positive | None = None
    budget_w: Budget | None = None
    groups: Annotated[tuple[BudgetGroup, ...], Field(strict=False)] | None = None
    reserves: Literal["class", "negotiation", "cap", "measured"] | None = None
    lldp: bool | None = None
    start: Start | None = None


class Port(Written):
    """A port or a range of ports: the highest class that it sources, its cap in watts at the port, its rate."""

    pse_class: PortClass | None = None
    cap_w: Positive | None = None
    mbps: Positive | None = None


class Pd(Written):
    """The powered-device side: requested class (two where dual-signature), least voltage, behaviour when demoted.

    ``second_w``: of its greatest draw what the second of two modes takes.
    """

    scheme: Scheme | None = None
    pd_class: PoeClass | None = None
    signature: Literal["single", "dual"] | None = None
    second_class: Literal[1, 2, 3, 4, 5] | None = None
    needs_lldp: bool | None = None
    demoted_w: NonNegative | None = None
    passive_v: Positive | None = None
    min_v: Positive | None = None
    inrush_a: Positive | None = None
    inrush_ms: NonNegative | None = None
    second_w: NonNegative | None = None


class Inlet(Pd):
    """The PoE inlet of a switch: the port it is on, its own use, and how it feeds what is behind it.

    ``passes_through``: its ports have the voltage of its inlet, less ``drop_v`` where stated.
    """

    port: Text | None = None
    own_w: NonNegative | None = None
    efficiency: Share | None = None
    passes_through: bool | None = None
    drop_v: Annotated[float, Field(ge=0, le=5)] | None = None


class Draw(Written):
    """Watts at the device: typical, the most by day, by night (infrared, heaters), at start; how long it starts."""

    typical: NonNegative | None = None
    day: NonNegative | None = None
    night: NonNegative | None = None
    start: NonNegative | None = None
    start_s: NonNegative | None = None


class Mbps(Written):
    """A stream in Mbit/s: its average, and its peak."""

    average: NonNegative | None = None
    peak: NonNegative | None = None


class Part(Written):
    """A kind of gear: whatever switches or devices of this kind have in common."""

    ac: Ac | None = None
    pse: Pse | None = None
    ports: dict[str, Port] | None = None
    inlet: Inlet | None = None
    pd: Pd | None = None
    draw_w: Draw | None = None
    vlans: Literal["802.1Q", "none"] | None = None
    works_to_c: Celsius | None = None
    ip: IpCode | None = None
    stream_mbps: Mbps | None = None
    clients_mbps: Mbps | None = None
    intake_mbps: Positive | None = None


class Supply(Written):
    """One mains supply of a switch: where it is plugged, and what it gives to PoE."""

    from_: Text | None = Field(None, alias="from")
    poe_w: RatedWatts | None = None


class Switch(Written):
    """A switch: its part, its place, its mains supplies; keys of its own go before those of the part."""

    part: Text | None = None
    space: Text | None = None
    from_: Text | None = Field(None, alias="from")
    supplies: Annotated[tuple[Supply, ...], Field(strict=False)] | None = None
    supply_mode: Literal["redundant", "combined"] | None = None
    feed_first: Literal["inlet", "local"] | None = None
    ac: Ac | None = None
    pse: Pse | None = None
    ports: dict[str, Port] | None = None
    inlet: Inlet | None = None
    vlans: Literal["802.1Q", "none"] | None = None
    works_to_c: Celsius | None = None
    ip: IpCode | None = None
    managed_in: Text | None = None
    address: GearAddress | None = None
    reserved: bool | None = None


class InlineValues(Written):
    """What is known of a thing inside a run: where it sits, its ohms, what an injector gives, a protector bears.

    ``max_v`` is the maximum continuous operating voltage of a surge protector, ``pairs`` how many it protects.
    """

    at_m: NonNegative | None = None
    space: Text | None = None
    ohm: NonNegative | None = None
    max_v: Positive | None = None
    pairs: Literal[1, 2, 4] | None = None
    bonded: bool | None = None
    pse_class: PoeClass | None = None
    pse: Pse | None = None
    from_: Text | None = Field(None, alias="from")
    own_w: NonNegative | None = None
    efficiency: Share | None = None


class Inline(InlineValues):
    """A thing inside a run: an injector (a source in the run) or a surge protector."""

    kind: Literal["injector", "surge-protector"]


class Device(Written):
    """What a network is built for: a camera, an access point, a door controller, a recorder."""

    part: Text | None = None
    space: Text | None = None
    role: Text | None = None
    priority: Priority | None = None
    from_: Text | None = Field(None, alias="from")
    feed_first: Literal["inlet", "local"] | None = None
    needs: Annotated[tuple[Text, ...], Field(strict=False)] | None = None
    not_lost_with: Annotated[tuple[Text, ...], Field(strict=False)] = ()
    joins: Literal["bridge", "route", "none"] | None = None
    ac: Ac | None = None
    pd: Pd | None = None
    draw_w: Draw | None = None
    works_to_c: Celsius | None = None
    ip: IpCode | None = None
    stream_mbps: Mbps | None = None
    clients_mbps: Mbps | None = None
    intake_mbps: Positive | None = None
    managed_in: Text | None = None
    address: GearAddress | None = None
    reserved: bool | None = None


class Cord(Written):
    """One cord of a run, in order from the ``from`` end; ``bundled_with`` counts the other cords in its bundle."""

    cable: Text | None = None
    m: NonNegative | None = None
    bundled_with: Count | None = None


class Segment(Written):
    """A stretch of a run's route: the space it passes, its metres, the bundle it lies in there."""

    space: Text | None = None
    m: NonNegative | None = None
    bundle: Text | None = None


class Run(Written):
    """A cable from one port to another with its cords: the channel is the whole of it."""

    from_: Text | None = Field(None, alias="from")
    to: Text | None = None
    cable: Text | None = None
    link_m: NonNegative | None = None
    cords_m: Annotated[tuple[NonNegative | None, ...], Field(strict=False)] | None = None
    cords: Annotated[tuple[Cord, ...], Field(strict=False)] | None = None
    connections: Count | None = None
    consolidation_point_m: NonNegative | None = None
    pairs: Literal[2, 4] | None = None
    mbps: Positive | None = None
    space: Text | None = None
    bundle: Text | None = None
    route: Annotated[tuple[Segment, ...], Field(strict=False, min_length=1)] | None = None
    through: Annotated[tuple[Text, ...], Field(strict=False)] = ()


class Role(Written):
    """What a device is for: what it needs to be useful, what it is kept apart from, how long it must stand by."""

    needs: Annotated[tuple[Text, ...], Field(strict=False)] = ()
    apart_from: Annotated[tuple[Text, ...], Field(strict=False)] = ()
    standby_min: NonNegative | None = None
    untrusted: bool | None = None


class Pool(Written):
    """Addresses that an address server gives out, from the first to the last, and the gear that gives them."""

    first: Address
    last: Address
    from_: Text | None = Field(None, alias="from")


class Vlan(Written):
    """A VLAN: its id, the gear that routes it, its subnet, the pools of it that are given out, who relays for them."""

    vid: Annotated[int, Field(ge=0, le=4095)] | None = None
    gateway: Text | None = None
    subnet: Prefix | None = None
    gateway_address: Address | None = None
    pools: Annotated[tuple[Pool, ...], Field(strict=False)] | None = None
    relay: Text | None = None


class Gateway(Written):
    """The policy of a router: what happens to what no flow states, and whether replies to a flow come back by it."""

    default: Literal["deny", "permit"] | None = None
    replies: bool | None = None


class PortVlans(Written):
    """VLANs of a port or a range of ports: the untagged one (in and out) and the tagged ones.

    ``group``: ports of gear that are one link together; ``isolated``: it talks with no other isolated port of its gear.
    """

    untagged: Text | None = None
    tagged: Annotated[tuple[Text, ...], Field(strict=False)] | None = None
    role: Text | None = None
    group: Text | None = None
    isolated: bool | None = None


class Ssid(Written):
    """A wireless name: the VLAN of its clients, their role, and the access points that offer it."""

    vlan: Text | None = None
    role: Text | None = None
    at: Annotated[tuple[Text, ...], Field(strict=False)] = ()


class Flow(Written):
    """A routed flow that the policy permits, from a role to a role."""

    from_: Text = Field(alias="from")
    to: Text
    service: Text | None = None


class Variance(Written):
    """A deviation that somebody has granted: the check, the object, why, by whom, until when."""

    rule: Text
    at: Text
    reason: Text
    granted_by: Text
    until: Date | None = None


class PartsFile(Written):
    """A file of kinds of gear and cable that several designs share."""

    part: dict[str, Part] = {}
    cable: dict[str, Cable] = {}


class DesignFile(PartsFile):
    """A whole design file."""

    design: Head
    space: dict[str, Space] = {}
    pathway: dict[str, Pathway] = {}
    bundle: dict[str, Bundle] = {}
    circuit: dict[str, Circuit] = {}
    ups: dict[str, Ups] = {}
    switch: dict[str, Switch] = {}
    inline: dict[str, Inline] = {}
    device: dict[str, Device] = {}
    run: dict[str, Run] = {}
    role: dict[str, Role] = {}
    vlan: dict[str, Vlan] = {}
    gateway: dict[str, Gateway] = {}
    port: dict[str, dict[str, PortVlans]] = {}
    ssid: dict[str, Ssid] = {}
    flow: dict[str, Flow] = {}
    variance: Annotated[tuple[Variance, ...], Field(strict=False)] = ()


class Statement(Written):
    """A value written in full: ``{ is = 38, origin = "measured", by = "tester", on = 2026-03-02 }``."""

    origin: Origin | None = None
    by: Literal["tester", "tape"] | None = None
    on: Date | None = None
