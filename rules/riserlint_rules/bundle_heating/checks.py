"""What the rule asks, and the ampacity table that a user may type into the basis of design."""

from typing import Annotated, Literal

from pydantic import Field

from riserlint import Check, Citation, Written, ampacity, heat_limits

RATING = Check(
    "rating",
    "a bundle gets hotter than its cables are rated for",
    "error",
    "q = Σ N n i² r, r at temperature, n = 4 or 8 wires over 2 or 4 pairs; ambient + surface rise (2.5 times that "
    "of free air in closed conduit) + q ln(D outer / D) / (2 π λ) of insulation + q ρ / (4 π) of the core ≤ lowest "
    "rating of the live cables; these are spread over the bundle at the best, all in its middle at the worst",
    (Citation("ISO/IEC TS 29125", "2017", ""),),
    (
        heat_limits.ENCLOSED_FACTOR,
        heat_limits.PACKING,
        heat_limits.MINERAL_WOOL_W_PER_M_K,
        heat_limits.LEAST_RATED_C,
        heat_limits.HIGHEST_RATED_C,
    ),
)
RISE = Check(
    "rise",
    "a bundle gets warmer than the guidance allows",
    "warning",
    "rise of the centre over the ambient, computed as for the rating, ≤ 15 K, or what the basis states",
    (),
    (heat_limits.BUNDLE_RISE_K,),
)
AMPACITY = Check(
    "ampacity",
    "the nominal current is above the ampacity of the code's table",
    "error",
    "North America, more than 60 W over a cable, and not ≤ 0.3 A per conductor of 24 AWG or larger: nominal "
    "current of the assigned class per conductor ≤ mark of a cable listed LP, or ≤ the table's cell for gauge, "
    "rating and bundle × √((rating − ambient) / (rating − 30 °C)) above 30 °C, × 1.4 where half of the wires are "
    "loaded",
    (Citation("NFPA 70", "", "725.144, 840.160, 310.15(B)"),),
    (
        heat_limits.AMPACITY_GATE_W,
        heat_limits.AMPACITY_EXEMPT_A,
        heat_limits.AMPACITY_EXEMPT_AWG,
        heat_limits.AMPACITY_BASE_C,
        heat_limits.AMPACITY_AMBIENT_CORRECTION,
        heat_limits.HALF_LOADED_FACTOR,
        heat_limits.SUPERVISION_CABLES,
        heat_limits.SUPERVISION_AWG,
    ),
)
TABLE = Check(
    "ampacity-table",
    "the ampacity table in the basis contradicts itself",
    "error",
    "never more for a larger bundle, never less for a thicker conductor or a higher rating, and between ratings "
    "as √(rating − 30 °C) within one printed digit; to pass does not make its figures the code's",
)


class AmpacityRow(Written):
    """One row as printed: gauge, rating of the cable, ampere per conductor for each bundle size."""

    awg: Annotated[int, Field(ge=0, le=40)]
    rated_c: Annotated[int, Field(ge=40, le=250)]
    a: Annotated[tuple[Annotated[float, Field(gt=0)] | Literal["none"] | None, ...], Field(strict=False)]


class TypedTable(Written):
    """The ampacity table of the adopted edition, typed from the user's copy; "none" where it prints none."""

    edition: Annotated[str, Field(min_length=1)]
    bundle_sizes: Annotated[tuple[Annotated[int, Field(gt=0)], ...], Field(strict=False, min_length=1)]
    rows: Annotated[tuple[AmpacityRow, ...], Field(strict=False, min_length=1)]
    decimals: Annotated[int, Field(ge=0, le=4)] | None = None

    @property
    def table(self) -> ampacity.AmpacityTable:
        """The table as the engineering functions take it."""
        rows = {
            (row.awg, row.rated_c): tuple(None if cell == "none" else cell for cell in row.a)
            for row in self.rows
        }
        return ampacity.AmpacityTable(self.edition, self.bundle_sizes, rows)

    @property
    def contradictions(self) -> list[str]:
        """What the table says that no such table can."""
        seen: set[tuple[int, int]] = set()
        twice = []
        for row in self.rows:
            if (row.awg, row.rated_c) in seen:
                twice.append(f"{row.awg} AWG, {row.rated_c} °C: two rows")
            seen.add((row.awg, row.rated_c))
        found = ampacity.check_ampacity_table(self.table, decimals=self.decimals)
        return [*twice, *(problem.message for problem in found)]


class Parameters(Written):
    """``[rule.bundle-heating]``: an own limit of the rise, and the code's ampacity table."""

    rise_k: Annotated[float, Field(gt=0)] | None = None
    ampacity: TypedTable | None = None
