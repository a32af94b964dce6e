"""Rules, checks and the clauses that they cite, as SARIF describes them."""

from collections.abc import Iterator

import sarif_om as om

from riserlint.review.answers import Check, Rule
from riserlint.standards.record import Citation


class Taxa:
    """The cited texts as taxonomies: one component a text and edition, one taxon a clause."""

    def __init__(self) -> None:
        """Begin without any."""
        self._components: dict[tuple[str, str], dict[str, int]] = {}
        self._positions: dict[tuple[str, str], int] = {}

    def reference(self, citation: Citation) -> om.ReportingDescriptorReference:
        """Return the reference to a clause, adding it where it is new."""
        component = (citation.text, citation.edition)
        clauses = self._components.setdefault(component, {})
        clause = citation.clause or "the text as a whole"
        index = clauses.setdefault(clause, len(clauses))
        position = self._positions.setdefault(component, len(self._positions))
        return om.ReportingDescriptorReference(
            id=clause,
            index=index,
            tool_component=om.ToolComponentReference(name=_component_name(component), index=position),
        )

    def components(self) -> list[om.ToolComponent]:
        """Return the taxonomies."""
        found = []
        for component, clauses in self._components.items():
            found.append(
                om.ToolComponent(
                    name=_component_name(component),
                    version=component[1] or None,
                    short_description=om.Message(
                        text=f"Clauses of {_component_name(component)} that findings cite"
                    ),
                    taxa=[om.ReportingDescriptor(id=clause) for clause in clauses],
                )
            )
        return found

    def references(self) -> list[om.ToolComponentReference]:
        """Return the references from the tool to its taxonomies."""
        return [
            om.ToolComponentReference(name=_component_name(component), index=index)
            for index, component in enumerate(self._components)
        ]


def _component_name(component: tuple[str, str]) -> str:
    text, edition = component
    return f"{text}-{edition}" if edition else text


def descriptors_of(rule: Rule, taxa: Taxa) -> Iterator[om.ReportingDescriptor]:
    """Yield the descriptor of a rule and those of its checks, which stand below it by their ids."""
    yield om.ReportingDescriptor(
        id=rule.id,
        name=_pascal(rule.id),
        short_description=om.MultiformatMessageString(text=sentence(rule.title)),
        full_description=om.MultiformatMessageString(text=rule.why),
        help=om.MultiformatMessageString(text=rule.why),
        default_configuration=om.ReportingConfiguration(level=rule.checks[0].level),
    )
    for check in rule.checks:
        cited = dict.fromkeys((*check.citations, *(limit.citation for limit in check.limits)))
        yield om.ReportingDescriptor(
            id=f"{rule.id}/{check.name}",
            name=_pascal(f"{rule.id}-{check.name}"),
            short_description=om.MultiformatMessageString(text=sentence(check.title)),
            full_description=om.MultiformatMessageString(text=f"{sentence(rule.title)} {check.formula}"),
            help=om.MultiformatMessageString(text=_help(rule, check)),
            default_configuration=om.ReportingConfiguration(level=check.level),
            relationships=[
                om.ReportingDescriptorRelationship(target=taxa.reference(citation), kinds=["relevant"])
                for citation in cited
            ]
            or None,
        )


def _help(rule: Rule, check: Check) -> str:
    parts = [rule.why, f"Computed: {check.formula}."]
    for limit in check.limits:
        parts.append(f"{limit.name}: {limit.value:g} {limit.unit} ({limit.citation}; {limit.known}).")
    return "\n".join(parts)


def sentence(text: str) -> str:
    """Return a text with a capital and a full stop."""
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}."


def _pascal(text: str) -> str:
    return "".join(word.capitalize() for word in text.split("-"))
