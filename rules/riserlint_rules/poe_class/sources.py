"""A source alone: the classes of its ports against its type, and ports that are always live."""

from collections.abc import Iterator

from riserlint import (
    Answer,
    Change,
    Gear,
    InlineGear,
    NotApplicable,
    Passed,
    Path,
    Related,
    Remedy,
    Said,
    Value,
    granting,
    poe_limits,
)
from riserlint_rules.poe_class.checks import LIVE, TYPE


def source_answers(source: Gear | InlineGear) -> Iterator[Said]:
    """Yield the answers for a switch or an injector, whatever hangs on it."""
    scheme = source.value("pse", "scheme")
    if scheme.value == "passive":
        yield NotApplicable(TYPE.name, source.at, "a passive source has no class")
        yield Answer(
            LIVE.name,
            "fail",
            source.at,
            scheme.at,
            f"{source.id}: its ports are live without a handshake: whatever is patched in gets the voltage",
            remedy=Remedy("a source that asks first (IEEE 802.3), or sockets that are locked and labelled"),
            rests_on=(scheme.at,),
        )
        return
    if scheme.value == "ieee" or source.value("pse", "type").value is not None:
        yield Passed(LIVE.name, source.at)
    yield from _types(source)


def _types(source: Gear | InlineGear) -> Iterator[Said]:
    pse_type = source.value("pse", "type")
    if pse_type.value is None:
        yield NotApplicable(TYPE.name, source.at, "its type is not stated")
        return
    classes: dict[Path, Value[int | str]] = {}
    if isinstance(source, Gear):
        for port in source.ports.values():
            if port.written_at not in classes:
                classes[port.written_at] = port.value("pse_class")
    else:
        classes[source.at] = source.value("pse_class")
    record = poe_limits.HIGHEST_CLASS[pse_type.value]
    over = [
        (str(written_at[-1]), value, int(value.value))
        for written_at, value in classes.items()
        if isinstance(value.value, int) and granting.rank(value.value) > record.value
    ]
    if not over:
        yield Passed(TYPE.name, source.at)
    for entry, value, port_class in over:
        ports = f"port class of {entry}" if isinstance(source, Gear) else "class"
        least = granting.least_type(port_class)
        changes: tuple[Change, ...] = ()
        # A higher type asks for other cabling (from 2 up) or powers other pairs (from 3 up), but 4 is as 3.
        if pse_type.value > 2 and source.value("pse", "min_v").value is None:
            at: Path = (*source.at, "pse", "type") if pse_type.assumed else pse_type.at
            changes = (Change(at, least),)
        yield Answer(
            TYPE.name,
            "fail",
            source.at,
            value.at,
            f"{source.id}: {ports} is {port_class}, "
            f"the highest of a Type {pse_type.value} source is {record.value:g}",
            value=float(port_class),
            limit=record.value,
            unit="class",
            margin=record.value - port_class,
            held_against=record,
            working=f"class {port_class} > class {record.value:g}",
            related=(Related(pse_type.at, "the type of the source"),),
            remedy=Remedy(
                f"read both off the nameplate: Type {least}, or class {record.value:g} at most", changes
            ),
            rests_on=(pse_type.at, value.at),
            distinct=entry if isinstance(source, Gear) else "",
        )
