"""The form in which every limit, table and constant is kept: value, unit, citation, how it is known."""

from typing import Generic, Literal, NamedTuple, TypeVar

#: How a value is known. *published*: a public source that states the value is named. *memory*: recalled,
#: no public page that states it was found. *common practice*: a habit of the trade without a source.
#: *derived*: computed here from named others. *stated*: by the user, in the design or in the basis.
Known = Literal["published", "memory", "common practice", "derived", "stated"]

RowsT = TypeVar("RowsT")


class Citation(NamedTuple):
    """One clause of one text.

    ``text`` is the standard, code or document ("IEEE Std 802.3"), ``edition`` its year or letter
    ("2022"), ``clause`` the clause, table or annex ("145.2.8, Table 145-11"); ``clause`` may be empty.
    """

    text: str
    edition: str
    clause: str

    def __str__(self) -> str:
        """Return the citation as a reader writes it: text, edition, clause."""
        head = f"{self.text}-{self.edition}" if self.edition else self.text
        return f"{head}, {self.clause}" if self.clause else head


class Limit(NamedTuple):
    """One number that something is held against or computed with.

    ``source`` says where the value was read ("published"), from what it is computed ("derived") or
    why it is believed ("memory", "common practice"). ``note`` holds what a reader must know to use it.
    """

    name: str
    value: float
    unit: str
    citation: Citation
    known: Known
    source: str
    note: str = ""


class Table(NamedTuple, Generic[RowsT]):
    """A table of a standard in its printed shape: ``rows`` as printed, ``columns`` naming each with its unit."""

    name: str
    columns: tuple[str, ...]
    rows: RowsT
    citation: Citation
    known: Known
    source: str
    note: str = ""
