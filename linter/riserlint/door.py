"""All that the public door offers: ``riserlint`` hands it out, and loads it when the first name is asked for."""

from riserlint.analysis import carrying, remote_powering, supplies, vlan_words, voltages, watt_words
from riserlint.analysis.addresses import Addressed, Network, PoolRange
from riserlint.analysis.ambient import Ambient
from riserlint.analysis.balance import Balance, Released
from riserlint.analysis.built import Built
from riserlint.analysis.bundle_load import BundleLoad
from riserlint.analysis.chains import Chain
from riserlint.analysis.channel import Clause, ClauseName, FamilyChannel, RunChannel
from riserlint.analysis.circuits import CircuitLoad, CircuitPart
from riserlint.analysis.continuity import SupplyWay, Unbacked
from riserlint.analysis.currents import NominalSupply, nominal_supply
from riserlint.analysis.failures import Failures, GearFate
from riserlint.analysis.headroom import Headroom, InletHeadroom
from riserlint.analysis.heat import OTHERS_AS_RUNS, BundleHeat
from riserlint.analysis.leaving import Leaving, leaving_of, protected_ends
from riserlint.analysis.loads import Draw, Grant, device_draw, source_end
from riserlint.analysis.managing import Exposed, Managed
from riserlint.analysis.metres import RunMetres
from riserlint.analysis.needs import NeedAnswer
from riserlint.analysis.outage import Standby
from riserlint.analysis.places import Asked, Places, Stretch, Told, first_and_number
from riserlint.analysis.power import FeedPower, InletPower, SourcePower
from riserlint.analysis.reach import Endpoint, Reach, Route
from riserlint.analysis.required import RequiredFlow
from riserlint.analysis.resistance import ConductorOhm, conductor_of
from riserlint.analysis.second_feed import SecondFeed, second_feed
from riserlint.analysis.standbys import Standbys
from riserlint.analysis.starting import Staging, StartLoads, StartOf, start_loads
from riserlint.analysis.supplies import Dark, Limited, SupplyLost
from riserlint.analysis.thicker import RunLoss, loss_of, thicker_gauges, with_gauge
from riserlint.analysis.traffic import Intake, LinkLoad, Ring
from riserlint.analysis.ups_load import Carried, UpsLoad, parts_that_turn
from riserlint.analysis.vlan_ports import PortSetting
from riserlint.analysis.vlan_spread import OneVlan, VlanHop, VlanSpread, VlanUser
from riserlint.design.marks import FireClass
from riserlint.design.models import Written
from riserlint.design.paths import Path, parse_path, path_text
from riserlint.design.problems import DesignUnreadable, Problem, RiserlintError
from riserlint.engineering import (
    ampacity,
    bundle_heat,
    conductors,
    framing,
    granting,
    inrush,
    jackets,
    lengths,
    loss,
    runtime,
    subnets,
    supply_load,
    vlan_ids,
)
from riserlint.engineering.span import Span, Verdict, at_least, at_most, sum_of
from riserlint.installation.things import (
    Bundle,
    Cable,
    Cord,
    Feed,
    Gear,
    InlineGear,
    Port,
    PortGroup,
    Run,
    Segment,
    Thing,
    Value,
)
from riserlint.review.answers import (
    Answer,
    Change,
    Check,
    Level,
    NoParameters,
    NotApplicable,
    Passed,
    Related,
    Remedy,
    Rule,
    Said,
)
from riserlint.review.engine import review_paths
from riserlint.review.findings import DesignReview, ExitStatus, Finding, Review
from riserlint.review.hooks import hookimpl
from riserlint.review.plugins import Fault, RuleSet, load_rules
from riserlint.standards import addresses as address_limits
from riserlint.standards import cabling as cabling_limits
from riserlint.standards import cabling_derating as derating_limits
from riserlint.standards import conductors as conductor_limits
from riserlint.standards import fire as fire_limits
from riserlint.standards import heat as heat_limits
from riserlint.standards import network as network_limits
from riserlint.standards import outdoor as outdoor_limits
from riserlint.standards import poe as poe_limits
from riserlint.standards import supply as supply_limits
from riserlint.standards import traffic as traffic_limits
from riserlint.standards.record import Citation, Known, Limit, Table
from riserlint.version import VERSION

__all__ = [
    "OTHERS_AS_RUNS",
    "VERSION",
    "Addressed",
    "Ambient",
    "Answer",
    "Asked",
    "Balance",
    "Built",
    "Bundle",
    "BundleHeat",
    "BundleLoad",
    "Cable",
    "Carried",
    "Chain",
    "Change",
    "Check",
    "CircuitLoad",
    "CircuitPart",
    "Citation",
    "Clause",
    "ClauseName",
    "ConductorOhm",
    "Cord",
    "Dark",
    "DesignReview",
    "DesignUnreadable",
    "Draw",
    "Endpoint",
    "ExitStatus",
    "Exposed",
    "Failures",
    "FamilyChannel",
    "Fault",
    "Feed",
    "FeedPower",
    "Finding",
    "FireClass",
    "Gear",
    "GearFate",
    "Grant",
    "Headroom",
    "InletHeadroom",
    "InletPower",
    "InlineGear",
    "Intake",
    "Known",
    "Leaving",
    "Level",
    "Limit",
    "Limited",
    "LinkLoad",
    "Managed",
    "NeedAnswer",
    "Network",
    "NoParameters",
    "NominalSupply",
    "NotApplicable",
    "OneVlan",
    "Passed",
    "Path",
    "Places",
    "PoolRange",
    "Port",
    "PortGroup",
    "PortSetting",
    "Problem",
    "Reach",
    "Related",
    "Released",
    "Remedy",
    "RequiredFlow",
    "Review",
    "Ring",
    "RiserlintError",
    "Route",
    "Rule",
    "RuleSet",
    "Run",
    "RunChannel",
    "RunLoss",
    "RunMetres",
    "Said",
    "SecondFeed",
    "Segment",
    "SourcePower",
    "Span",
    "Staging",
    "Standby",
    "Standbys",
    "StartLoads",
    "StartOf",
    "Stretch",
    "SupplyLost",
    "SupplyWay",
    "Table",
    "Thing",
    "Told",
    "Unbacked",
    "UpsLoad",
    "Value",
    "Verdict",
    "VlanHop",
    "VlanSpread",
    "VlanUser",
    "Written",
    "address_limits",
    "ampacity",
    "at_least",
    "at_most",
    "bundle_heat",
    "cabling_limits",
    "carrying",
    "conductor_limits",
    "conductor_of",
    "conductors",
    "derating_limits",
    "device_draw",
    "fire_limits",
    "first_and_number",
    "framing",
    "granting",
    "heat_limits",
    "hookimpl",
    "inrush",
    "jackets",
    "leaving_of",
    "lengths",
    "load_rules",
    "loss",
    "loss_of",
    "network_limits",
    "nominal_supply",
    "outdoor_limits",
    "parse_path",
    "parts_that_turn",
    "path_text",
    "poe_limits",
    "protected_ends",
    "remote_powering",
    "review_paths",
    "runtime",
    "second_feed",
    "source_end",
    "start_loads",
    "subnets",
    "sum_of",
    "supplies",
    "supply_limits",
    "supply_load",
    "thicker_gauges",
    "traffic_limits",
    "vlan_ids",
    "vlan_words",
    "voltages",
    "watt_words",
    "with_gauge",
]
