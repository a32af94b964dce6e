"""What is printed on cable and gear, as it is written: jacket marks, classes of reaction to fire, IP codes."""

import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field
from pydantic_core import PydanticCustomError

Jacket = Literal[
    "CMP", "CMR", "CMG", "CM", "CMX", "CL3P", "CL3R", "CL3", "CL3X", "CL2P", "CL2R", "CL2", "CL2X", "outdoor"
]

_FIRE_CLASS = re.compile(r"(?:[AEF]ca|(?:B1|B2|C|D)ca(?:-s(?:1a|1b|1|2|3)(?:[-,]d[012])?(?:[-,]a[123])?)?)\Z")
_IP_CODE = re.compile(r"IP[0-6X][0-9X][A-Z]*\Z")


def _fire_class(written: str) -> str:
    if not _FIRE_CLASS.match(written):
        raise PydanticCustomError("fire_class", 'a class such as "Cca-s1b-d1-a1" or "Eca"')
    return written


def _ip_code(written: str) -> str:
    if not _IP_CODE.match(written):
        raise PydanticCustomError("ip_code", 'a code such as "IP66"')
    return written


def _listed(written: Any) -> Any:
    if written == "none":
        return ()
    return (written,) if isinstance(written, str) else written


#: The marks on a jacket: one, or a list of them; "none" is an empty one.
Jackets = Annotated[tuple[Jacket, ...], BeforeValidator(_listed), Field(strict=False)]
#: A European class of reaction to fire: main class, then smoke, droplets and acidity where it has them.
FireClass = Annotated[str, AfterValidator(_fire_class)]
#: A degree of protection by enclosure: its first digit is for dust, its second for water.
IpCode = Annotated[str, AfterValidator(_ip_code)]
