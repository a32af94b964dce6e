"""Reviews TOML designs of centrally powered low-voltage networks against the standards.

This module is the one public door: what a rule author or a user of the library needs is here, and rules import
nothing below it. Names that begin with an underscore, and the submodules themselves, may change in any release.

For rule authors: :class:`Rule`, :class:`Check`, the answers (:class:`Answer`, :class:`Passed`,
:class:`NotApplicable`) with their parts, :data:`hookimpl`, the :class:`Built` installation that a rule is handed,
and the modules of limits (``*_limits``) and of engineering functions.

For users of the library: :func:`load_rules`, :func:`review_paths`, :class:`Review` and its parts.
"""

from riserlint.analysis.ambient import Ambient
from riserlint.analysis.built import Built
from riserlint.analysis.heat import BundleHeat
from riserlint.analysis.metres import RunMetres
from riserlint.analysis.power import FeedPower, InletPower, SourcePower
from riserlint.design.models import Written
from riserlint.design.paths import Path, parse_path, path_text
from riserlint.design.problems import DesignUnreadable, Problem, RiserlintError
from riserlint.engineering import (
    ampacity,
    bundle_heat,
    conductors,
    lengths,
    loss,
    runtime,
    supply_load,
    vlan_ids,
)
from riserlint.engineering.span import Span, Verdict, at_least, at_most
from riserlint.installation.things import (
    Bundle,
    Cable,
    Cord,
    Feed,
    Gear,
    InlineGear,
    Port,
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
from riserlint.standards import cabling as cabling_limits
from riserlint.standards import cabling_derating as derating_limits
from riserlint.standards import conductors as conductor_limits
from riserlint.standards import heat as heat_limits
from riserlint.standards import network as network_limits
from riserlint.standards import poe as poe_limits
from riserlint.standards import supply as supply_limits
from riserlint.standards.record import Citation, Known, Limit, Table
from riserlint.version import VERSION

__all__ = [
    "VERSION",
    "Ambient",
    "Answer",
    "Built",
    "Bundle",
    "BundleHeat",
    "Cable",
    "Change",
    "Check",
    "Citation",
    "Cord",
    "DesignReview",
    "DesignUnreadable",
    "ExitStatus",
    "Fault",
    "Feed",
    "FeedPower",
    "Finding",
    "Gear",
    "InletPower",
    "InlineGear",
    "Known",
    "Level",
    "Limit",
    "NoParameters",
    "NotApplicable",
    "Passed",
    "Path",
    "Port",
    "Problem",
    "Related",
    "Remedy",
    "Review",
    "RiserlintError",
    "Rule",
    "RuleSet",
    "Run",
    "RunMetres",
    "Said",
    "Segment",
    "SourcePower",
    "Span",
    "Table",
    "Thing",
    "Value",
    "Verdict",
    "Written",
    "ampacity",
    "at_least",
    "at_most",
    "bundle_heat",
    "cabling_limits",
    "conductor_limits",
    "conductors",
    "derating_limits",
    "heat_limits",
    "hookimpl",
    "lengths",
    "load_rules",
    "loss",
    "network_limits",
    "parse_path",
    "path_text",
    "poe_limits",
    "review_paths",
    "runtime",
    "supply_limits",
    "supply_load",
    "vlan_ids",
]
