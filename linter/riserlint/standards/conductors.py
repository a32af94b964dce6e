"""Resistance of cable, cords and contacts: constants of the metal, limits of the cabling standards."""

from typing import Final, NamedTuple

from riserlint.standards.record import Citation, Limit, Table

_RECALLED: Final = "recalled; no public page that states it was found"
_B258: Final = Citation("ASTM B258", "", "")
_ANNEALED_COPPER: Final = Citation("IEC 60028", "", "")
_TIA: Final = Citation("TIA-568.2", "D", "")
_ISO_IEC: Final = Citation("ISO/IEC 11801-1", "2017", "")

AWG_REFERENCE_MM: Final = Limit("diameter of 36 AWG", 0.127, "mm", _B258, "memory", _RECALLED)
AWG_REFERENCE: Final = Limit("gauge of the thin end of the rule", 36, "AWG", _B258, "memory", _RECALLED)
AWG_RATIO: Final = Limit(
    name="ratio of diameters over all steps of the rule",
    value=92.0,
    unit="1",
    citation=_B258,
    known="memory",
    source=_RECALLED,
    note="4/0 AWG (0.46 in) to 36 AWG (0.005 in).",
)
AWG_STEPS: Final = Limit("steps from 36 AWG to 4/0 AWG", 39, "1", _B258, "memory", _RECALLED)

COPPER_OHM_MM2_PER_M: Final = Limit(
    name="resistivity of standard annealed copper at 20 °C",
    value=1 / 58,
    unit="ohm mm²/m",
    citation=_ANNEALED_COPPER,
    known="memory",
    source=_RECALLED,
    note="1/58, which is 100 % IACS.",
)
COPPER_PER_KELVIN: Final = Limit(
    name="temperature coefficient of the resistance of copper, referred to 20 °C",
    value=0.00393,
    unit="1/K",
    citation=_ANNEALED_COPPER,
    known="memory",
    source=f"{_RECALLED}; also ascribed to NBS Handbook 100, 1966",
)
REFERENCE_CELSIUS: Final = Limit(
    "temperature to which resistance is referred", 20.0, "°C", _ANNEALED_COPPER, "memory", _RECALLED
)

STRANDED_FACTOR: Final = Limit(
    name="resistance of stranded wire to that of solid wire of the same gauge",
    value=1.05,
    unit="1",
    citation=Citation("habit of the trade", "", ""),
    known="memory",
    source="recalled as a few per cent, for the lay and the smaller nominal area",
)
COPPER_CLAD_ALUMINIUM_FACTOR: Final = Limit(
    name="resistance of copper-clad aluminium to that of copper of the same gauge",
    value=1.6,
    unit="1",
    citation=Citation("ASTM B566", "", ""),
    known="memory",
    source="recalled: 10 % copper by volume has 62.9 % of the conductivity, a factor of 1.59",
    note="Sellers' pages say 40 to 60 % more. Such cable is outside the cabling standards by definition.",
)
COPPER_SHARE: Final = Limit(
    name="share of copper in the conductors of balanced cable and cords",
    value=1.0,
    unit="of the metal",
    citation=_TIA,
    known="published",
    source=(
        "advisory note of an industry association on copper-clad aluminium, reported in the trade press "
        "(cablinginstall.com): European, North American and international cable standards all ask for copper"
    ),
)
POWER_CONDUCTOR_COPPER_SHARE: Final = Limit(
    name="share of copper in the conductors of Class 2 cable that carries power and data",
    value=1.0,
    unit="of the metal",
    citation=Citation("NFPA 70", "2020", "725.144"),
    known="memory",
    source=_RECALLED,
)
IEC_COPPER_SHARE: Final = Limit(
    name="share of copper in the conductors of symmetrical cable for horizontal floor wiring",
    value=1.0,
    unit="of the metal",
    citation=Citation("IEC 61156-5", "", "conductor"),
    known="memory",
    source=_RECALLED,
    note="A solid conductor of annealed copper.",
)
CONTACT_OHM: Final = Limit(
    name="resistance that a connection may add to each conductor",
    value=0.2,
    unit="ohm",
    citation=Citation("ISO/IEC 11801", "2002", "permanent link loop formula"),
    known="memory",
    source=_RECALLED,
    note="0.4 ohm of loop per connection. The limit value, at any temperature.",
)

HORIZONTAL_OHM_PER_100M: Final = Limit(
    name="highest resistance of a conductor of horizontal cable at 20 °C",
    value=9.38,
    unit="ohm/100 m",
    citation=_TIA,
    known="published",
    source="summary of the TIA-568 material requirements (elliottelectric.com): 28.6 ohm per 305 m",
)
CORD_OHM_PER_100M: Final = Limit(
    name="highest resistance of a conductor of stranded cord cable at 20 °C",
    value=14.0,
    unit="ohm/100 m",
    citation=_TIA,
    known="memory",
    source=_RECALLED,
    note="24 and 26 AWG.",
)
CORD_28_AWG_OHM_PER_100M: Final = Limit(
    name="highest resistance of a conductor of 28 AWG cord cable at 20 °C",
    value=21.3,
    unit="ohm/100 m",
    citation=_TIA,
    known="memory",
    source=_RECALLED,
)
THICKEST_GAUGE: Final = Limit(
    name="thickest gauge of balanced cable in use",
    value=22,
    unit="AWG",
    citation=_TIA,
    known="memory",
    source=_RECALLED,
    note="The lower end of the range where a gauge is not known.",
)
GAUGES_IN_USE: Final = Table(
    name="gauges that balanced cable is sold in",
    columns=("gauge [AWG]",),
    rows=(28, 26, 24, 23, 22),
    citation=Citation("habit of the trade", "", ""),
    known="common practice",
    source="no source; which of them a thicker cable can be had in",
)

CHANNEL_LOOP_OHM: Final = Limit(
    name="highest loop resistance of one pair of a channel, Classes D to FA",
    value=25.0,
    unit="ohm",
    citation=_ISO_IEC,
    known="memory",
    source=_RECALLED,
)
CLASS_C_CHANNEL_LOOP_OHM: Final = Limit(
    name="highest loop resistance of one pair of a channel, Class C",
    value=40.0,
    unit="ohm",
    citation=_ISO_IEC,
    known="memory",
    source=_RECALLED,
)
PERMANENT_LINK_LOOP_OHM: Final = Limit(
    name="highest loop resistance of one pair of a permanent link, Classes D to FA",
    value=21.0,
    unit="ohm",
    citation=_ISO_IEC,
    known="memory",
    source=_RECALLED,
    note="At 90 m with three connections.",
)
PERMANENT_LINK_LOOP_OHM_PER_100M: Final = Limit(
    name="loop resistance of one pair of the cable of a permanent link, Classes D to FA",
    value=22.0,
    unit="ohm/100 m",
    citation=Citation("ISO/IEC 11801", "2002", "permanent link loop formula"),
    known="memory",
    source=_RECALLED,
    note="To which 0.4 ohm per connection is added.",
)

WITHIN_PAIR_UNBALANCE: Final = Limit(
    name="highest resistance unbalance of the two conductors of a pair, channel",
    value=0.03,
    unit="1",
    citation=_TIA,
    known="memory",
    source=_RECALLED,
    note="Or 0.2 ohm, whichever is greater.",
)
WITHIN_PAIR_UNBALANCE_OHM: Final = Limit(
    "highest resistance difference of the two conductors of a pair, channel",
    0.2,
    "ohm",
    _TIA,
    "memory",
    _RECALLED,
)


class WireRow(NamedTuple):
    """One gauge of solid copper at 20 °C as printed: diameter in inches, ohms per 1000 ft."""

    awg: int
    diameter_in: float
    ohm_per_1000_ft: float


WIRE_TABLE: Final[Table[tuple[WireRow, ...]]] = Table(
    name="solid copper wire by American wire gauge at 20 °C",
    columns=("AWG", "diameter (in)", "resistance (ohm/1000 ft)"),
    rows=(
        WireRow(22, 0.02535, 16.14),
        WireRow(23, 0.02257, 20.36),
        WireRow(24, 0.0201, 25.67),
        WireRow(25, 0.0179, 32.37),
        WireRow(26, 0.01594, 40.81),
        WireRow(27, 0.0142, 51.47),
        WireRow(28, 0.01264, 64.9),
        WireRow(29, 0.01126, 81.83),
        WireRow(30, 0.01002, 103.2),
    ),
    citation=Citation("university physics tables, common wire gauges", "", ""),
    known="published",
    source="hyperphysics.phy-astr.gsu.edu/hbase/Tables/wirega.html, quoting a textbook of electric circuits",
    note="Resistance is computed from rule and resistivity, not taken from here; the two are compared.",
)

#: The constants that the resistance of a run rests on, beside its gauge, metres and temperature.
LOOP_CONSTANTS: Final = (
    COPPER_OHM_MM2_PER_M,
    COPPER_PER_KELVIN,
    STRANDED_FACTOR,
    COPPER_CLAD_ALUMINIUM_FACTOR,
    CONTACT_OHM,
)
