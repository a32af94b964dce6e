"""The checks of conductor-material, with their formulas and limits."""

from riserlint import Check, conductor_limits, heat_limits

COPPER_CLAD = Check(
    "copper-clad",
    "conductors that carry power are not of copper",
    "error",
    "conductors of cable and cords are of copper; copper-clad aluminium has 1.6 times the resistance of copper",
    (),
    (
        conductor_limits.COPPER_SHARE,
        conductor_limits.POWER_CONDUCTOR_COPPER_SHARE,
        conductor_limits.IEC_COPPER_SHARE,
        conductor_limits.COPPER_CLAD_ALUMINIUM_FACTOR,
    ),
)
GAUGE = Check(
    "gauge",
    "the conductors of the cable are too light",
    "warning",
    "ohm per 100 m of one conductor of fixed cable at 20 °C, by gauge and make and as of copper ≤ 9.38 ohm",
    (),
    (conductor_limits.HORIZONTAL_OHM_PER_100M,),
)
THIN_CORD = Check(
    "thin-cord",
    "cords in the powered path are too thin, or too long for being thin",
    "warning",
    "cords of 28 AWG ≤ 10 m in all; of none that is thinner: ohm per 100 m of one conductor ≤ 21.3 ohm",
    (),
    (
        heat_limits.SMALL_CORD_AWG,
        heat_limits.SMALL_CORD_LENGTH_M,
        conductor_limits.CORD_28_AWG_OHM_PER_100M,
    ),
)
CORD_BUNDLE = Check(
    "cord-bundle",
    "too many thin cords that carry power lie together",
    "warning",
    "cords of 28 AWG in one bundle ≤ 12, with 38 mm between bundles and none in conduit",
    (),
    (heat_limits.SMALL_CORD_BUNDLE_CORDS, heat_limits.SMALL_CORD_SPACING_MM),
)
