"""VLANs in words: the VLANs of a port, and the way that frames take from an endpoint to an endpoint."""

from riserlint.analysis.reach import Route, RouteStep
from riserlint.analysis.vlan_graph import SOMEWHERE
from riserlint.analysis.vlan_ports import UNNAMED, PortSetting, VlanPorts
from riserlint.design.paths import Path


def setting_text(setting: PortSetting) -> str:
    """Return the VLANs of a port: ``untagged none, tagged cameras, guest``."""
    if not setting.listed:
        return "no VLANs written"
    untagged = (setting.untagged or "none") if setting.untagged_known else "unknown"
    tagged = ", ".join(sorted(setting.tagged)) or "none"
    return f"untagged {untagged}, tagged {tagged if setting.tagged_known else 'unknown'}"


def ports_on(route: Route | None, ports: VlanPorts) -> dict[Path, str]:
    """Return the ports of a path that say which VLANs they carry: where they do, and what."""
    found: dict[Path, str] = {}
    for step in () if route is None else route.steps:
        for port in (step.leaves, step.enters):
            if port is not None and ports.has_own(port):
                setting = ports.setting(port)
                found.setdefault(setting.at, f"{port.label}: {setting_text(setting)}")
    return found


def route_text(route: Route) -> str:
    """Return a path hop by hop: ``cam-1 → hall/1 (cameras) → hall/up to core/3 (cameras) → …``."""
    words = [route.first.label]
    if not route.steps or route.start.kind == "gear":
        words.append(_place(route.start.gear, route.start.vlan))
    words.extend(word for step in route.steps if (word := _step(step)))
    if not route.steps or route.steps[-1].after.gear != route.last.label:
        words.append(route.last.label)
    return " → ".join(words)


def _place(gear: str, vlan: str) -> str:
    words = "a VLAN that is not named" if vlan == UNNAMED else vlan or "untagged"
    return f"{gear} ({words})"


def _step(step: RouteStep) -> str:
    """Return a step in words; nothing where the place that it leads to says it all."""
    into = step.after
    if step.run is None:
        if into.kind == "router":
            return "a router that is not written" if into.gear == SOMEWHERE else f"routed by {into.gear}"
        if step.before.kind == "router":
            return _place(into.gear, into.vlan)
        if SOMEWHERE in (step.before.gear, into.gear):
            return "" if into.kind == "port" else "a far end that nobody found"
        if step.before.kind == "port":
            return f"perhaps joined in {into.gear}"
        return f"a port of {step.before.gear or into.gear} in an unknown VLAN"
    enters = "a far end that nobody found" if step.enters is None else step.enters.label
    leaves = "" if step.leaves is None or not step.leaves.gear.is_switch else f"{step.leaves.label} to "
    if into.kind == "port" and not into.vlan:
        return f"{leaves}{enters}"
    if into.kind == "wire":
        return f"{step.run.id} in an unknown VLAN"
    left, entered = step.before.vlan, into.vlan
    if left not in {"", UNNAMED, entered} and entered not in {"", UNNAMED} and step.before.kind == "gear":
        words = f"{left} becomes {entered}"
    else:
        words = "a VLAN that is not named" if entered == UNNAMED else entered or "untagged"
    return f"{leaves}{enters} ({words})"
