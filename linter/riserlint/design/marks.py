"""What is written by rules of its own: jacket marks, classes of reaction to fire, IP codes, addresses, prefixes."""

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


def _address(written: str) -> str:
    from ipaddress import ip_address

    try:
        ip_address(written)
    except ValueError:
        raise PydanticCustomError("address", 'an address such as "10.20.30.5" or "fd00:20::5"') from None
    return written


def _prefix(written: str) -> str:
    from ipaddress import ip_interface

    try:
        found = ip_interface(written)
    except ValueError:
        found = None
    if found is None or "/" not in written:
        raise PydanticCustomError("prefix", 'a prefix such as "10.20.30.0/24" or "fd00:20::/64"')
    if found.ip != found.network.network_address:
        raise PydanticCustomError(
            "prefix", 'a prefix without bits of a host: "{right}"', {"right": str(found.network)}
        )
    return written


def pool_problem(first: str, last: str) -> str:
    """Return what is wrong with a pool of addresses from a first to a last one; empty where nothing is."""
    from ipaddress import ip_address

    start, end = ip_address(first), ip_address(last)
    if start.version != end.version:
        return f"a pool has addresses of one kind; {first} is IPv{start.version}, {last} is IPv{end.version}"
    return f"a pool ends at its last address; {last} comes before {first}" if int(end) < int(start) else ""


def _listed(written: Any) -> Any:
    if written == "none":
        return ()
    return (written,) if isinstance(written, str) else written


#: The marks on a jacket: one, or a list of them; "none" is an empty one.
Jackets = Annotated[tuple[Jacket, ...], BeforeValidator(_listed), Field(strict=False)]
#: A European class of reaction to fire: main class, then smoke, droplets and acidity where it has them.
FireClass = Annotated[str, AfterValidator(_fire_class)]
#: An IPv4 or IPv6 address.
Address = Annotated[str, AfterValidator(_address)]
#: The address of gear: a fixed one, or one that it asks an address server for.
GearAddress = Literal["pool", "none"] | Address
#: An IPv4 or IPv6 prefix, without bits of a host.
Prefix = Annotated[str, AfterValidator(_prefix)]
#: A degree of protection by enclosure: its first digit is for dust, its second for water.
IpCode = Annotated[str, AfterValidator(_ip_code)]
