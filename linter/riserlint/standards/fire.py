"""Fire behaviour of cable: types and their places in North America, European classes of reaction to fire.

A cable that carries power over Ethernet is a Class 2 circuit there; the types CL2P, CL2R and CL2 hold for it as the
communications types CMP, CMR and CM do. In Europe each state says which class a place asks for, the regulation
does not: a class is held against one that the basis of design asks for, and nothing else.
"""

from typing import Final, NamedTuple

from riserlint.standards.record import Citation, Limit, Table

_ORDER: Final = Citation("NFPA 70", "2020", "800.154 (of Class 2 circuits 725.154; 2023: article 722)")
_PLACES: Final = Citation("NFPA 70", "2020", "800.113 (of Class 2 circuits 725.135; 2023: article 722)")
_FLAME: Final = (
    "a published summary of the code's flame ratings of 1999; the clause numbers of 2020 are from memory"
)
_RECALLED: Final = "recalled; no public page that states it was found"

#: Where a lower type is allowed; the clauses are from memory.
METAL_RACEWAY_IN_AIR: Final = Citation("NFPA 70", "2020", "300.22(C), metal raceway (from memory)")
RISER_EXCEPTIONS: Final = Citation(
    "NFPA 70", "2020", "800.113, metal raceway or fire-rated shaft (from memory)"
)
#: Ducts for air: what may lie in them at all is for a human to look at.
DUCTS: Final = Citation("NFPA 70", "2020", "300.22(B)")


class Jacket(NamedTuple):
    """A type of cable: its mark, its step in the order of substitution, the place that it is meant for."""

    mark: str
    step: int
    place: str


JACKETS: Final = Table(
    "types of cable in the order of substitution",
    ("mark", "step", "place"),
    (
        Jacket("CMP", 4, "plenum"),
        Jacket("CL3P", 4, "plenum"),
        Jacket("CL2P", 4, "plenum"),
        Jacket("CMR", 3, "riser"),
        Jacket("CL3R", 3, "riser"),
        Jacket("CL2R", 3, "riser"),
        Jacket("CMG", 2, "general"),
        Jacket("CM", 2, "general"),
        Jacket("CL3", 2, "general"),
        Jacket("CL2", 2, "general"),
        Jacket("CMX", 1, "dwelling"),
        Jacket("CL3X", 1, "dwelling"),
        Jacket("CL2X", 1, "dwelling"),
    ),
    _ORDER,
    "published",
    f"{_FLAME}; a maker's note gives the same order",
    "a higher step may stand in for a lower one, never the reverse; that the Class 2 types hold as the "
    "communications types do is from memory",
)

PLENUM_STEP: Final = Limit(
    "least type of cable in a plenum",
    4,
    "step (CMP)",
    _PLACES,
    "published",
    _FLAME,
    "a lower type is allowed in metal raceway, 300.22(C), from memory",
)
RISER_STEP: Final = Limit(
    "least type of cable from floor to floor",
    3,
    "step (CMR)",
    _PLACES,
    "published",
    _FLAME,
    "a lower type is allowed in metal raceway or a fire-rated shaft with a stop at each floor, from memory",
)
GENERAL_STEP: Final = Limit(
    "least type of cable in any other room",
    2,
    "step (CM)",
    _PLACES,
    "published",
    _FLAME,
    "the type for dwellings, CMX, also in raceway, or exposed for a short way",
)
DWELLING_STEP: Final = Limit(
    "least type of cable in a dwelling of one or two families",
    1,
    "step (CMX)",
    _PLACES,
    "published",
    _FLAME,
    "below 6 mm in diameter, from memory",
)
EXPOSED_DWELLING_TYPE: Final = Limit(
    "longest exposed stretch of the type for dwellings in another building",
    3.0,
    "m",
    _PLACES,
    "memory",
    _RECALLED,
    "10 ft, in a space that is not concealed",
)
UNLISTED_INDOORS: Final = Limit(
    "longest way of unlisted outdoor cable into a building",
    15.0,
    "m",
    Citation("NFPA 70", "2017", "800.48 (2020: 805.48)"),
    "published",
    "a code question answered in a trade paper, and two forum threads that quote the section of 2008 and 2023",
    "50 ft from the point of entrance; from outside, ending in an enclosure or on a listed protector, and in no "
    "riser, duct or plenum; bonded rigid metal conduit moves the point of entrance inwards",
)
OUTDOOR_JACKET: Final = Limit(
    "cable outdoors with a jacket for outdoors",
    1,
    "mark",
    Citation("a city's network standard, cabling", "3.1.0", "outdoor cabling"),
    "published",
    "the standard itself, which is public",
    "asks for it inside conduit too; the adopted standard decides",
)

EUROCLASSES: Final = Table(
    "main classes of reaction to fire of cable, best first",
    ("class",),
    ("Aca", "B1ca", "B2ca", "Cca", "Dca", "Eca", "Fca"),
    Citation("EN 13501-6", "", "classes of electric cables"),
    "published",
    "a trade paper's table of 2018",
)
#: The further classes of B1ca to Dca, the best first. Aca has none, being no fuel; Eca and Fca have none either.
ADDITIONAL_CLASSES: Final = Table(
    "further classes: smoke, droplets, acidity, best first",
    ("smoke", "droplets", "acidity"),
    (("s1a", "s1b", "s1", "s2", "s3"), ("d0", "d1", "d2"), ("a1", "a2", "a3")),
    Citation("EN 13501-6", "", "additional classes"),
    "published",
    "a trade paper's table of 2018; that s1 alone stands below s1b is from memory",
)
