"""Copper that leaves a building: surge protectors at its ends, what they bear, and gear in the weather."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserlint.standards.poe import type_max_volts
from riserlint.standards.record import Citation, Limit

_RECALLED: Final = "recalled; no public page that states it was found"
_CODE: Final = Citation("NFPA 70", "2020", "725.141 and 805.90 (2017: 800.90(A); 2023: article 722)")
_ZONES: Final = Citation("IEC 62305-4", "", "surge protection where a line enters a lightning zone")
_BONDING: Final = Citation("NFPA 70", "2020", "800.100")
_CITY: Final = Citation("a city's network standard, cabling", "3.1.0", "outdoor cabling")
_IP: Final = Citation("IEC 60529", "", "second numeral, protection against water")

PROTECTOR_CODE: Final = Limit(
    "protectors where a run leaves a building",
    1,
    "protector at the end",
    _CODE,
    "memory",
    "the duty for Class 2 circuits and the article of 2023 are recalled; forum threads on 800.90(A) were read",
    "listed primary protector at each end of a run between buildings, and where conductors outdoors are exposed to "
    "lightning",
)
PROTECTOR_ZONES: Final = Limit(
    "protectors where a run leaves a building",
    1,
    "protector at the end",
    _ZONES,
    "memory",
    _RECALLED,
    "at the boundary of each lightning zone, at both ends of a line",
)
OUTER_END: Final = Limit(
    "protectors at the outdoor end of a run",
    1,
    "protector at the end",
    _CITY,
    "published",
    "the standard itself, which is public",
    "asks for one at both ends",
)
SHORT_BURIED: Final = Limit(
    "run between buildings in the ground that is not taken to be exposed to lightning",
    42.0,
    "m",
    Citation("NFPA 70", "2017", "800.90(A), informational note (2020: 805.90)"),
    "published",
    "a forum thread that quotes the note and one that calls it not enforceable",
    "140 ft, buried or in underground conduit, in continuous metal that is bonded at both ends; information, no rule",
)
#: The highest continuous voltage on powered pairs: what a protector has to bear without conducting.
PROTECTOR_VOLTS: Final = Limit(
    "least continuous operating voltage of a protector on powered pairs",
    max(type_max_volts(pse_type) for pse_type in (1, 2, 3, 4)),
    "V",
    Citation("IEEE Std 802.3", "2022", "clauses 33 and 145, highest voltage at the source"),
    "derived",
    "the highest voltage that a source of any type has at its port",
    "IEC 61643-22, annex F, treats the selection for powered data lines",
)
PROTECTED_PAIRS: Final = Limit(
    "pairs that a protector protects",
    4,
    "pairs",
    Citation("IEC 61643-22", "2015", "annex F"),
    "memory",
    "that the guide covers power over Ethernet is public; that all pairs are meant is recalled",
)
BONDED: Final = Limit(
    "protectors that are bonded",
    1,
    "bond",
    _BONDING,
    "memory",
    "recalled; that a protector's housing is bonded with 6 AWG is in the public standard of a city",
    "14 AWG at the least, short, to the building's electrode",
)
BONDED_ZONES: Final = BONDED._replace(
    citation=Citation("IEC 62305-4", "", "bonding of surge protection"),
    source=_RECALLED,
    note="short, to the bonding bar where the line enters",
)
FIBRE_BETWEEN: Final = Limit(
    "copper runs between buildings",
    0,
    "runs",
    Citation("an electric utility's note on power quality", "", "fibre between buildings"),
    "published",
    "the note itself, which is public",
    "the earths of two buildings differ, by up to 10 V several times a day in one case measured; advice, no rule",
)

#: The least second numeral of the code of an enclosure, by exposure.
WATER_NUMERAL: Final[Mapping[str, Limit]] = MappingProxyType(
    {
        "sheltered": Limit(
            "least protection from water on a sheltered wall", 3, "numeral", _IP, "memory", _RECALLED
        ),
        "outdoor": Limit(
            "least protection from water in the rain",
            4,
            "numeral",
            _IP,
            "memory",
            _RECALLED,
            "splashing from every direction; a city's standard asks IP66 or IP67 of power feeds",
        ),
        "underground": Limit(
            "least protection from water in the ground",
            7,
            "numeral",
            _IP,
            "memory",
            _RECALLED,
            "immersion for a time",
        ),
    }
)
