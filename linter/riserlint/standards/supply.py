"""Batteries, uninterruptible power supplies and their circuits: ageing, temperature, rate, load, heat."""

from typing import NamedTuple

from riserlint.standards.record import Citation, Limit, Table

# --- ageing -------------------------------------------------------------------------------------------

END_OF_LIFE_SHARE = Limit(
    name="capacity of a lead-acid battery at the end of its life",
    value=0.80,
    unit="share of rated capacity",
    citation=Citation("IEEE Std 1188", "", "replacement criteria (IEEE Std 450 alike for vented cells)"),
    known="published",
    source="a published storage battery maintenance manual: yearly test from 90 %, replacement at 80 % "
    "of the rating; the clauses of IEEE 450 and 1188 are from memory",
)

AGEING_FACTOR = Limit(
    name="ageing factor in sizing a battery",
    value=1.25,
    unit="multiplier of capacity",
    citation=Citation("IEEE Std 485", "", "ageing factor"),
    known="published",
    source="UFC 3-520-01, appendix E; the clause of IEEE 485 is from memory",
    note="the reciprocal of the 80 % that are left at the end of life: apply one of the two, never both",
)

DESIGN_MARGIN_LOW = Limit(
    name="design margin in sizing a battery, low",
    value=1.10,
    unit="multiplier of capacity",
    citation=Citation("IEEE Std 485", "", "design margin"),
    known="published",
    source="a published company worksheet for UPS batteries that multiplies by 1.1",
)

DESIGN_MARGIN_HIGH = Limit(
    name="design margin in sizing a battery, high",
    value=1.15,
    unit="multiplier of capacity",
    citation=Citation("IEEE Std 485", "", "design margin"),
    known="memory",
    source="10 to 15 %, recalled; no public page that states the upper value was found",
)

TESTED_SHARE_CEILING = Limit(
    name="greatest plausible result of a capacity test",
    value=1.25,
    unit="share of rated capacity",
    citation=Citation("plausibility bound", "", ""),
    known="common practice",
    source="no source; a greater number is a percentage that was not divided by 100",
)

# --- temperature --------------------------------------------------------------------------------------


class SizeMultiplier(NamedTuple):
    """One column of the sizing standard's temperature table."""

    celsius: float
    factor: float


#: Cell size = uncorrected size × factor; 1.00 at 25 °C.
IEEE_485_TEMPERATURE: Table[tuple[SizeMultiplier, ...]] = Table(
    name="temperature correction of cell size, lead-acid",
    columns=("electrolyte temperature [°C]", "multiplier of cell size [1]"),
    rows=(
        SizeMultiplier(-3.9, 1.52),
        SizeMultiplier(-1.1, 1.43),
        SizeMultiplier(1.7, 1.35),
        SizeMultiplier(4.4, 1.30),
        SizeMultiplier(7.2, 1.25),
        SizeMultiplier(10.0, 1.19),
        SizeMultiplier(12.8, 1.15),
        SizeMultiplier(15.6, 1.11),
        SizeMultiplier(18.3, 1.08),
        SizeMultiplier(21.1, 1.04),
        SizeMultiplier(25.0, 1.00),
        SizeMultiplier(26.7, 0.98),
        SizeMultiplier(29.4, 0.96),
        SizeMultiplier(32.2, 0.94),
        SizeMultiplier(35.0, 0.93),
        SizeMultiplier(37.8, 0.91),
        SizeMultiplier(40.6, 0.89),
        SizeMultiplier(43.3, 0.88),
        SizeMultiplier(48.9, 0.86),
        SizeMultiplier(51.7, 0.85),
    ),
    citation=Citation("IEEE Std 485", "", "Table 1"),
    known="memory",
    source="recalled; the factors at 21.1, 15.6, 10.0 and 4.4 °C agree with a published worksheet for "
    "photovoltaic batteries, which gives 1.40 instead of 1.43 at -1.1 °C",
    note="above 25 °C the cautious practice keeps 1.00; the temperature is that of the battery",
)


class CapacityFraction(NamedTuple):
    """Share of the 25 °C capacity that a lead-acid battery gives at a temperature, by discharge time."""

    celsius: float
    quarter_hour: float
    one_hour: float
    five_hours: float
    eight_hours: float
    twenty_hours: float


#: Capacity × fraction (so size ÷ fraction); 1.000 at 25 °C for every discharge time.
TEXTBOOK_CAPACITY: Table[tuple[CapacityFraction, ...]] = Table(
    name="capacity by temperature and discharge time, lead-acid",
    columns=(
        "temperature [°C]",
        "15 min [1]",
        "1 h [1]",
        "5 h [1]",
        "8 h [1]",
        "20 h [1]",
    ),
    rows=(
        CapacityFraction(-1.1, 0.700, 0.725, 0.765, 0.790, 0.815),
        CapacityFraction(4.4, 0.780, 0.800, 0.830, 0.845, 0.865),
        CapacityFraction(10.0, 0.860, 0.865, 0.880, 0.895, 0.910),
        CapacityFraction(15.8, 0.920, 0.930, 0.940, 0.945, 0.950),
        CapacityFraction(21.1, 0.960, 0.970, 0.975, 0.975, 0.980),
        CapacityFraction(25.0, 1.000, 1.000, 1.000, 1.000, 1.000),
        CapacityFraction(32.2, 1.040, 1.025, 1.020, 1.015, 1.010),
    ),
    citation=Citation(
        "King & Knight, Uninterruptible Power Supplies and Standby Power Systems",
        "",
        "p. 199",
    ),
    known="published",
    source="the book, p. 199, in a university library's digital copy",
    note="the row printed at 15.8 °C is that of 60 °F (15.6 °C)",
)

BASE_TEMPERATURE_C = Limit(
    name="temperature at which lead-acid capacity is rated in sizing",
    value=25.0,
    unit="°C",
    citation=Citation("IEEE Std 485", "", "Table 1"),
    known="published",
    source="the factor 1.000 in the table of King & Knight, p. 199; no capacity is added above it "
    "(a published company worksheet for UPS batteries)",
)

LIFE_HALVING_C = Limit(
    name="rise above 25 °C that halves the life of a lead-acid battery, cautious",
    value=8.3,
    unit="K",
    citation=Citation("battery trade literature", "", "15 °F above 77 °F"),
    known="published",
    source="a published note on heat and UPS batteries (half the life for each 15 °F)",
    note="other publications say 10 to 15 °F, or 10 °C: they disagree",
)

LIFE_HALVING_LONGEST_C = Limit(
    name="rise above 25 °C that halves the life of a lead-acid battery, favourable",
    value=10.0,
    unit="K",
    citation=Citation("battery trade literature", "", "10 °C above 25 °C"),
    known="published",
    source="a published battery note (corrosion current doubles for each 10 °C)",
)

# --- discharge rate -----------------------------------------------------------------------------------


class RateFraction(NamedTuple):
    """Least and greatest share of the twenty-hour energy that a discharge of that time gives."""

    hours: float
    low: float
    high: float


LEAD_ACID_RATE_FRACTION: Table[tuple[RateFraction, ...]] = Table(
    name="share of the twenty-hour energy by discharge time, lead-acid",
    columns=("discharge time [h]", "least share [1]", "greatest share [1]"),
    rows=(
        RateFraction(0.25, 0.40, 0.50),
        RateFraction(0.5, 0.50, 0.60),
        RateFraction(1.0, 0.58, 0.65),
        RateFraction(3.0, 0.73, 0.80),
        RateFraction(5.0, 0.82, 0.87),
        RateFraction(10.0, 0.90, 0.95),
        RateFraction(20.0, 1.00, 1.00),
    ),
    citation=Citation("battery data sheets of the trade", "", "constant-power tables"),
    known="memory",
    source="recalled from constant-power tables at 25 °C; no public page that states these ranges was found",
    note="linear in the logarithm of time between the rows; below 15 min only an upper bound is known",
)

LITHIUM_FRACTION_LOW = Limit(
    name="share of the stated energy that a lithium battery gives, least",
    value=0.92,
    unit="share of stated energy",
    citation=Citation("battery data sheets of the trade", "", ""),
    known="memory",
    source="recalled; no public page that states the range was found",
)

LITHIUM_FRACTION_HIGH = Limit(
    name="share of the stated energy that a lithium battery gives, greatest",
    value=1.0,
    unit="share of stated energy",
    citation=Citation("battery data sheets of the trade", "", ""),
    known="memory",
    source="recalled; no public page that states the range was found",
)


class ExponentRange(NamedTuple):
    """Least and greatest Peukert exponent of one build of lead-acid battery."""

    build: str
    low: float
    high: float


PEUKERT_EXPONENT: Table[tuple[ExponentRange, ...]] = Table(
    name="Peukert exponent by build, lead-acid",
    columns=("build", "least exponent [1]", "greatest exponent [1]"),
    rows=(
        ExponentRange("absorbent glass mat", 1.05, 1.15),
        ExponentRange("gel", 1.10, 1.20),
        ExponentRange("flooded", 1.20, 1.30),
    ),
    citation=Citation("Peukert's law", "1897", "exponent ranges in secondary tables"),
    known="published",
    source="a published rounded table of Peukert exponents (secondary)",
)

PEUKERT_EXPONENT_LEAST = Limit(
    name="least Peukert exponent",
    value=1.0,
    unit="1",
    citation=Citation("Peukert's law", "1897", ""),
    known="derived",
    source="an exponent of 1 is a battery whose capacity does not depend on the current",
)

PEUKERT_EXPONENT_GREATEST = Limit(
    name="greatest Peukert exponent, old flooded cells",
    value=1.35,
    unit="1",
    citation=Citation("Peukert's law", "1897", ""),
    known="memory",
    source="recalled; the published table ends at 1.30",
)

PEUKERT_SHORTEST_H = Limit(
    name="shortest discharge for which Peukert's law is used",
    value=1.0,
    unit="h",
    citation=Citation("IEEE Std 1184", "", "use of constant-power data for UPS batteries"),
    known="memory",
    source="the advice to use constant-power tables for a UPS is published in an engineering forum's "
    "discussion of UPS batteries; the bound of one hour is recalled",
)

PEUKERT_LONGEST_H = Limit(
    name="longest discharge for which Peukert's law is used, unless the rating is for a longer one",
    value=20.0,
    unit="h",
    citation=Citation("Peukert's law", "1897", "low rates"),
    known="memory",
    source="that the law fails at low rates is stated in textbooks; the bound of twenty hours is recalled",
)

# --- fire alarm secondary supply: a worked method to compare with -------------------------------------

NFPA_72_MARGIN_2019 = Limit(
    name="battery margin of a fire alarm supply, editions to 2019",
    value=1.20,
    unit="multiplier of capacity",
    citation=Citation("NFPA 72", "2019", "10.6.7.2.1"),
    known="published",
    source="published examination notes on fire alarm batteries (20 % to the 2019 edition)",
)

NFPA_72_MARGIN_2022 = Limit(
    name="battery margin of a fire alarm supply, edition 2022",
    value=1.25,
    unit="multiplier of capacity",
    citation=Citation("NFPA 72", "2022", "10.6.10.1"),
    known="published",
    source="published examination notes on fire alarm batteries (25 % in the 2022 edition)",
)

# --- circuits and load --------------------------------------------------------------------------------

CONTINUOUS_LOAD_FACTOR = Limit(
    name="rating of a branch circuit for its continuous load",
    value=1.25,
    unit="multiplier of continuous load",
    citation=Citation("NFPA 70 (NEC)", "2023", "210.19(A), 210.20(A)"),
    known="published",
    source="electrical trade forum and training pages that quote 210.19(A)(1) and 210.20(A)",
    note="continuous: three hours or more at the maximum (article 100); other load counts once",
)

CONTINUOUS_LOAD_SHARE = Limit(
    name="continuous load on a standard breaker",
    value=0.80,
    unit="share of the breaker's rating",
    citation=Citation("NFPA 70 (NEC)", "2023", "210.20(A)"),
    known="derived",
    source="the reciprocal of the 125 % of 210.20(A)",
    note="an assembly that is listed for it carries 100 %; the share holds for the continuous part only",
)

FULLY_RATED_SHARE = Limit(
    name="continuous load on a breaker in an assembly listed for 100 %",
    value=1.0,
    unit="share of the breaker's rating",
    citation=Citation("NFPA 70 (NEC)", "2023", "210.20(A), exception"),
    known="published",
    source="a published municipal network power standard that names the exception",
)

IEC_CIRCUIT_SHARE = Limit(
    name="design current of a circuit, IEC countries",
    value=1.0,
    unit="share of the protective device's rated current",
    citation=Citation("IEC 60364-4-43", "", "433.1"),
    known="memory",
    source="recalled: design current at most the rated current; there is no 80 % rule",
)

#: Standard ratings of overcurrent devices up to 100 A.
STANDARD_BREAKER_A: Table[tuple[int, ...]] = Table(
    name="standard ampere ratings of overcurrent devices up to 100 A",
    columns=("rating [A]",),
    rows=(15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100),
    citation=Citation("NFPA 70 (NEC)", "2023", "240.6(A)"),
    known="memory",
    source="recalled",
)

LOAD_POWER_FACTOR_LOW = Limit(
    name="power factor of a load that states none, least",
    value=0.5,
    unit="W/VA",
    citation=Citation("electronic load without power factor correction", "", ""),
    known="memory",
    source="recalled; no public page that states the bound was found",
)

LOAD_POWER_FACTOR_HIGH = Limit(
    name="power factor of a load that states none, greatest",
    value=1.0,
    unit="W/VA",
    citation=Citation("definition of the power factor", "", ""),
    known="derived",
    source="real power cannot exceed apparent power",
)

UPS_PLANNING_SHARE_LOW = Limit(
    name="load at which a UPS is planned, the lower habit",
    value=0.80,
    unit="share of the rating",
    citation=Citation("UPS sizing in the trade", "", ""),
    known="common practice",
    source="no normative source; published sizing guides differ (0.80 and 0.90)",
)

UPS_PLANNING_SHARE_HIGH = Limit(
    name="load at which a UPS is planned, the higher habit",
    value=0.90,
    unit="share of the rating",
    citation=Citation("UPS sizing in the trade", "", ""),
    known="common practice",
    source="no normative source; published sizing guides differ (0.80 and 0.90)",
)

UPS_GROWTH_LOW = Limit(
    name="growth added to the load of a UPS, low",
    value=0.20,
    unit="share of the load",
    citation=Citation("UPS sizing in the trade", "", ""),
    known="common practice",
    source="no normative source; sizing guides add 20 to 25 %",
)

UPS_GROWTH_HIGH = Limit(
    name="growth added to the load of a UPS, high",
    value=0.25,
    unit="share of the load",
    citation=Citation("UPS sizing in the trade", "", ""),
    known="common practice",
    source="no normative source; sizing guides add 20 to 25 %",
)

# --- heat ---------------------------------------------------------------------------------------------

BTU_PER_HOUR_PER_W = Limit(
    name="heat flow of one watt",
    value=3.412,
    unit="Btu/h per W",
    citation=Citation("definition of the British thermal unit (International Table)", "", ""),
    known="published",
    source="published heat load sheets; one Btu (IT) is 1055.056 J",
)

TON_BTU_PER_HOUR = Limit(
    name="one ton of refrigeration",
    value=12_000.0,
    unit="Btu/h",
    citation=Citation("definition of the ton of refrigeration", "", ""),
    known="published",
    source="published heat load sheets; its 3.517 kW are from memory",
)
