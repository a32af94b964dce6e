"""Places of keys and values, held against the source text itself and against what the parser reads."""

import datetime
import math
import random
import re
import time
from typing import Any

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from riserlint.design.paths import Path
from riserlint.design.positions import Place, Positions


def slices(text: str, path: Path) -> tuple[str, str] | None:
    """Return the source text of the key and of the value of a path."""
    tomli.loads(text)
    place = Positions(text).find(path)
    if place is None:
        return None
    return text[place.key_start : place.key_end], text[place.value_start : place.value_end]


DESIGN = """\
# a riser of two floors
design.name = "two floors"   # dotted
design.issued = 2025-03-01 08:30:00 # a blank between date and time

[run]
R-014 = { from = "sw-1/3", to = "cam-1", link_m = 71, cords_m = [2, 3.5], "sp ace" = 'void' }
"R.015" = { link_m = 12, heat.bundle = "b-1", heat.celsius = 45 } # two tables deep
R-016.link_m = +9_0
R-016 . 'cords_m' = [
  1, # left, not ] the end
  2, [ "]", '"', 3 ],
]

[[variance]]
at = "run.R-014"
until = 07:30:00
[variance.who]
name = "first"
[[variance.step]]
day = 1979-05-27T07:32:00Z
[[ variance . step ]]
[[variance]]
at = \"\"\"run."R-015\\"\"\"\"\"\"
[variance.who]
name = '''it's "second"'''''

[floor.two.room]
spaces = [[ ]]
[floor]
level = -1
[ "floor" . two ]
last = true"""


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["line feed", "carriage return and line feed"])
@pytest.mark.parametrize(
    ("path", "key", "value"),
    [
        (("design", "name"), "name", '"two floors"'),
        (("design", "issued"), "issued", "2025-03-01 08:30:00"),
        (("design",), "design", 'design.name = "two floors"'),
        (("run",), "run", "[run]"),
        (("run", "R-014", "link_m"), "link_m", "71"),
        (("run", "R-014", "cords_m"), "cords_m", "[2, 3.5]"),
        (("run", "R-014", "cords_m", 1), "3.5", "3.5"),
        (("run", "R-014", "sp ace"), '"sp ace"', "'void'"),
        (("run", "R.015"), '"R.015"', '{ link_m = 12, heat.bundle = "b-1", heat.celsius = 45 }'),
        (("run", "R.015", "heat"), "heat", 'heat.bundle = "b-1"'),
        (("run", "R.015", "heat", "celsius"), "celsius", "45"),
        (("run", "R-016"), "R-016", "R-016.link_m = +9_0"),
        (("run", "R-016", "link_m"), "link_m", "+9_0"),
        (("run", "R-016", "cords_m", 1), "2", "2"),
        (("run", "R-016", "cords_m", 2), '[ "]", \'"\', 3 ]', '[ "]", \'"\', 3 ]'),
        (("run", "R-016", "cords_m", 2, 1), "'\"'", "'\"'"),
        (("variance",), "variance", "[[variance]]"),
        (("variance", 1), "[[variance]]", "[[variance]]"),
        (("variance", 0, "at"), "at", '"run.R-014"'),
        (("variance", 0, "until"), "until", "07:30:00"),
        (("variance", 0, "who"), "who", "[variance.who]"),
        (("variance", 0, "who", "name"), "name", '"first"'),
        (("variance", 0, "step", 0, "day"), "day", "1979-05-27T07:32:00Z"),
        (("variance", 0, "step", 1), "[[ variance . step ]]", "[[ variance . step ]]"),
        (("variance", 1, "at"), "at", '"""run."R-015\\""""""'),
        (("variance", 1, "who", "name"), "name", "'''it's \"second\"'''''"),
        (("floor",), "floor", "[floor]"),
        (("floor", "two"), "two", '[ "floor" . two ]'),
        (("floor", "two", "room"), "room", "[floor.two.room]"),
        (("floor", "two", "room", "spaces", 0), "[ ]", "[ ]"),
        (("floor", "level"), "level", "-1"),
        (("floor", "two", "last"), "last", "true"),
    ],
    ids=lambda part: ".".join(map(str, part)) if isinstance(part, tuple) else "",
)
def test_key_and_value_are_cut_out_of_the_source(path: Path, key: str, value: str, line_end: str) -> None:
    assert slices(DESIGN.replace("\n", line_end), path) == (key, value)


def test_equal_headers_of_two_items_are_told_apart() -> None:
    places = Positions(DESIGN)
    first, second = places.find(("variance", 0)), places.find(("variance", 1))
    assert first is not None
    assert second is not None
    assert first.value_start == DESIGN.index("[[variance]]")
    assert second.value_start == DESIGN.rindex("[[variance]]")
    who = places.find(("variance", 1, "who"))
    assert who is not None
    assert who.value_start == DESIGN.rindex("[variance.who]")


@pytest.mark.parametrize(
    ("source", "content"),
    [
        ('""', ""),
        ("''", ""),
        ('""""""', ""),
        ("''''''", ""),
        ('""""a"""""', '"a""'),
        ("''''a'''''", "'a''"),
        ('""""""""', '""'),
        ('"""a\\\n   \n  b"""', "ab"),
        ('"""\\""""', '"'),
        ('"""\\\\"""', "\\"),
        ('"""]\n# no comment = {"""', "]\n# no comment = {"),
        ("'''\\'''", "\\"),
        ("'\\'", "\\"),
        ('"\\\\"', "\\"),
        ('"\\"]#"', '"]#'),
        ('"é\\u00e9 \U0001f50c\\U0001F50C"', "éé \U0001f50c\U0001f50c"),
    ],
    ids=ascii,
)
def test_a_string_ends_where_the_parser_ends_it(source: str, content: str) -> None:
    for text, path in [
        (f"x = {source} # end", ("x",)),
        (f"x = {source}\ny = 1", ("x",)),
        (f"x = [{source},{source}]", ("x", 1)),
        (f"x = {{ a = {source}, b.c = {source} }} # }}", ("x", "b", "c")),
    ]:
        found = slices(text, path)
        assert found is not None
        assert found[1] == source
    assert tomli.loads(f"x = {source}") == {"x": content}


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("1.2", ("1", "2")),
        ("''", ("",)),
        ('"a.b"', ("a.b",)),
        ("'a = [b]'", ("a = [b]",)),
        ('"a\\"b\\\\"', ('a"b\\',)),
        ('"\\t\\b\\n\\f\\r"', ("\t\b\n\f\r",)),
        ('"\\u00e9\\U0001F50C"', ("é\U0001f50c",)),
        ("'\\u00e9'", ("\\u00e9",)),
        ('-_-."#" . 2', ("-_-", "#", "2")),
    ],
    ids=ascii,
)
def test_a_key_names_what_the_parser_names_by_it(source: str, name: tuple[str, ...]) -> None:
    parsed: Any = tomli.loads(f"{source} = 1")
    for part in name:
        parsed = parsed[part]
    assert parsed == 1
    last = re.split(r"\s*\.\s*", source)[-1] if len(name) > 1 else source
    assert slices(f"{source} = 1", name) == (last, "1")
    assert slices(f"z = {{ {source} = 1 }}", ("z", *name)) == (last, "1")
    assert slices(f"[ {source} ]\nq = 2", (*name, "q")) == ("q", "2")
    assert slices(f"[[{source}]]\nq = 2", (*name, 0, "q")) == ("q", "2")


def test_tables_of_dotted_keys_take_subtables_by_header() -> None:
    text = "[fruit]\napple.colour = 1\napple.taste.sweet = true\n[fruit.apple.texture]\nsmooth = 2\n"
    assert slices(text, ("fruit", "apple")) == ("apple", "apple.colour = 1")
    assert slices(text, ("fruit", "apple", "taste")) == ("taste", "apple.taste.sweet = true")
    assert slices(text, ("fruit", "apple", "texture")) == ("texture", "[fruit.apple.texture]")
    assert slices(text, ("fruit", "apple", "texture", "smooth")) == ("smooth", "2")


def test_a_table_only_mentioned_in_a_header_stands_in_that_header() -> None:
    assert slices("[a.b.c]\n[a.d]\n", ("a", "b")) == ("b", "[a.b.c]")
    assert slices("[[a.b]]\n[[a.b]]\n", ("a",)) == ("a", "[[a.b]]")


def test_inline_tables_over_several_lines_where_the_parser_takes_them() -> None:
    text = 'run = { # open }\n  link_m = 38, # "\n  cords_m = [2,\n 3], "\\x41\\e" = 1,\n}\n'
    try:
        tomli.loads(text)
    except tomli.TOMLDecodeError:
        pytest.skip("this parser reads TOML 1.0 only")
    assert slices(text, ("run", "link_m")) == ("link_m", "38")
    assert slices(text, ("run", "cords_m", 1)) == ("3", "3")
    assert slices(text, ("run", "A\x1b")) == ('"\\x41\\e"', "1")


@pytest.mark.parametrize(
    ("path", "reached"),
    [
        ((), ()),
        (("absent",), ()),
        (("run", "R-999", "link_m"), ("run",)),
        (("run", "R-014", "length"), ("run", "R-014")),
        (("run", "R-014", "cords_m", 2), ("run", "R-014", "cords_m")),
        (("run", "R-014", "cords_m", -1), ("run", "R-014", "cords_m")),
        (("run", "R-014", "link_m", 0), ("run", "R-014", "link_m")),
        (("run", 0), ("run",)),
        (("variance", 2, "at"), ("variance",)),
        (("variance", "at"), ("variance",)),
        (("variance", 1, "who"), ("variance", 1, "who")),
    ],
    ids=repr,
)
def test_what_is_not_there_is_near_its_deepest_ancestor(path: Path, reached: Path) -> None:
    places = Positions(DESIGN)
    place, found = places.nearest(path)
    assert found == reached
    assert place == places.find(reached)
    if reached != path:
        assert places.find(path) is None


def test_the_document_stands_at_the_start() -> None:
    assert Positions("").nearest(("run",)) == (Place(0, 0, 0, 0), ())
    assert Positions("# only a comment").find(()) == Place(0, 0, 0, 0)


def test_lines_and_columns() -> None:
    # U+2028, U+0085 and the vertical tab are line ends for Python's splitlines, but not for TOML.
    text = 'a = 1\r\nb = "é\u2028\u0085\U0001f50c" # x\n\n"\U0001f50c" = 2'
    places = Positions(text)
    assert [places.line_text(line) for line in range(1, 5)] == [
        "a = 1",
        'b = "é\u2028\u0085\U0001f50c" # x',
        "",
        '"\U0001f50c" = 2',
    ]
    assert places.line_column(0) == (1, 1)
    assert places.line_column(text.index("b")) == (2, 1)
    assert places.line_column(text.index("x")) == (2, 14)
    assert places.utf16_column(text.index("x")) == 15
    assert places.line_column(text.index("2", 20)) == (4, 7)
    assert places.utf16_column(text.index("2", 20)) == 8
    assert places.line_column(len(text)) == (4, 8)
    assert Positions("a = 1\n").line_text(2) == ""
    assert Positions("").line_column(0) == (1, 1)


def test_a_place_outside_the_text_is_refused() -> None:
    places = Positions("a = 1\n")
    for offset in (-1, 7):
        with pytest.raises(ValueError, match=rf"offset {offset} is outside the text of 6 characters"):
            places.line_column(offset)
        with pytest.raises(ValueError, match=rf"offset {offset} is outside"):
            places.utf16_column(offset)
    for line in (0, 3):
        with pytest.raises(ValueError, match=rf"line {line} is not among the 2 lines of the text"):
            places.line_text(line)


@pytest.mark.parametrize(
    "text",
    ["a", "= 1", "a = [1", 'a = "x', 'a = """x"', "a = '''x''", "a = {b", "a = 1\n[a.b]", "a = ", "[a"],
)
def test_text_that_no_parser_accepted_is_refused_and_never_loops(text: str) -> None:
    with pytest.raises(tomli.TOMLDecodeError):
        tomli.loads(text)
    with pytest.raises(ValueError, match=r"offset|extended"):
        Positions(text).find(("a", "b"))


def test_deep_nesting_costs_no_call_stack() -> None:
    depth = 5000
    text = "a = " + "[" * depth + "]" * depth
    assert Positions(text).find(("a", 0, 0)) == Place(6, 4 + 2 * depth - 2, 6, 4 + 2 * depth - 2)


def test_long_values_of_many_pieces_are_passed_over() -> None:
    text = "a = [" + '"\\n", 1, "b", # c\n' * 3000 + "]\nb = 2"
    assert slices(text, ("b",)) == ("b", "2")
    assert slices(text, ("a", 8999)) == ('"b"', '"b"')
    assert slices(text, ("a", 9000)) is None


def test_a_large_file_is_scanned_in_linear_time() -> None:
    entry = '{ from = "sw-1/3", to = "cam-1", link_m = 38, cords_m = [2, 3], space = "void" }'

    def seconds(lines: int) -> float:
        text = "[run]\n" + "".join(f"R-{number:06d} = {entry}\n" for number in range(lines))
        start = time.process_time()
        place = Positions(text).find(("run", f"R-{lines - 1:06d}", "cords_m"))
        spent = time.process_time() - start
        assert place is not None
        assert place.value_start == text.rindex("[2, 3]")
        return spent

    small = min(seconds(2_000) for _ in range(3))
    # Ten times the lines; a quadratic scan would need a hundred times the time.
    assert min(seconds(20_000) for _ in range(3)) < 40 * small


# --- random documents -------------------------------------------------------------------------------------

BARE = re.compile(r"[A-Za-z0-9_-]+")
SHORT_ESCAPES = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}
NOISE = ["# plain", "#", "# a = [", "# ] }", '# """', "# it's", "# [x]", "# é\U0001f50c"]


def multi_line_inline_tables() -> bool:
    try:
        tomli.loads("a = {\n}")
    except tomli.TOMLDecodeError:
        return False
    return True


INLINE_TABLES_TAKE_LINES = multi_line_inline_tables()


class Writer:
    """Writes a nested dictionary as TOML, choosing at random among all ways to write each thing."""

    def __init__(self, choices: random.Random) -> None:
        self.choices = choices

    def chance(self, of: float) -> bool:
        return self.choices.random() < of

    def blank(self) -> str:
        return self.choices.choice(["", " ", "\t", "  "])

    def escaped(self, text: str, keep: str) -> str:
        out = []
        for char in text:
            must = (ord(char) < 32 or ord(char) == 127 or char in '"\\') and char not in keep
            if not must and not self.chance(0.05):
                out.append(char)
            elif char in SHORT_ESCAPES and self.chance(0.8):
                out.append(SHORT_ESCAPES[char])
            else:
                out.append(f"\\u{ord(char):04x}" if ord(char) < 0x10000 else f"\\U{ord(char):08X}")
        return "".join(out)

    def string(self, text: str, *, key: bool = False) -> str:
        ways = ["basic"]
        controls = {char for char in text if (ord(char) < 32 and char != "\t") or ord(char) == 127}
        if not controls and "'" not in text:
            ways += ["literal"] * 2
        if not key:
            ways.append("basic block")
            if not controls - {"\n"} and "'''" not in text and not re.search("'{3}$", text):
                ways += ["literal block"] * 2
        way = self.choices.choice(ways)
        if way == "basic":
            return f'"{self.escaped(text, "")}"'
        if way == "literal":
            return f"'{text}'"
        first = "\n" if text.startswith("\n") or self.chance(0.3) else ""
        if way == "literal block":
            return f"'''{first}{text}'''"
        # Up to two quotes may stand bare, also before the closing ones.
        body = "".join(
            piece if re.fullmatch('"{1,2}', piece) and self.chance(0.7) else self.escaped(piece, "\n")
            for piece in re.split('("+)', text)
        )
        if self.chance(0.2):
            body = f"\\\n {self.blank()}\n{body}" if not body[:1].isspace() else body
        return f'"""{first}{body}"""'

    def key(self, name: str) -> str:
        if BARE.fullmatch(name) and self.chance(0.7):
            return name
        return self.string(name, key=True)

    def dotted(self, names: tuple[str, ...]) -> str:
        out = self.key(names[0])
        for name in names[1:]:
            out += f"{self.blank()}.{self.blank()}{self.key(name)}"
        return out

    def gap(self, lines: bool) -> str:
        """Blanks; where lines are allowed, also line ends and comments."""
        out = self.blank()
        while lines and self.chance(0.3):
            out += (self.choices.choice(NOISE) if self.chance(0.5) else "") + "\n" + self.blank()
        return out

    def value(self, value: Any, lines: bool = True) -> str:
        if isinstance(value, dict):
            lines = INLINE_TABLES_TAKE_LINES and self.chance(0.2)
            pairs = [
                f"{self.dotted(names)}{self.blank()}={self.blank()}{self.value(item)}"
                for names, item in self.pairs(value)
            ]
            return "{" + self.items(pairs, lines, trailing=lines) + "}"
        if isinstance(value, list):
            return "[" + self.items([self.value(item) for item in value], lines=True, trailing=True) + "]"
        if isinstance(value, str):
            return self.string(value)
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, int):
            return self.integer(value)
        if isinstance(value, float):
            if math.isfinite(value):
                return repr(value)
            return "nan" if math.isnan(value) else ("inf" if value > 0 else "-inf")
        if isinstance(value, datetime.datetime):
            return value.isoformat(sep=self.choices.choice(["T", " "])).replace("+00:00", "Z")
        return str(value.isoformat())

    def integer(self, value: int) -> str:
        way = self.choices.choice(["plain", "plus", "underscore", "hexadecimal"])
        if way == "underscore":
            return f"{value:_}"
        if value >= 0 and way == "plus":
            return f"+{value}"
        return f"0x{value:X}" if value >= 0 and way == "hexadecimal" else str(value)

    def items(self, items: list[str], lines: bool, trailing: bool) -> str:
        out = self.gap(lines)
        for number, item in enumerate(items):
            out += item + self.gap(lines)
            if number < len(items) - 1 or (trailing and self.chance(0.4)):
                out += "," + self.gap(lines)
        return out

    def pairs(self, table: dict[str, Any]) -> list[tuple[tuple[str, ...], Any]]:
        """The entries of a table as dotted names with values, in any order."""
        out: list[tuple[tuple[str, ...], Any]] = []
        for name, value in table.items():
            if isinstance(value, dict) and value and self.chance(0.4):
                out += [((name, *names), item) for names, item in self.pairs(value)]
            else:
                out.append(((name,), value))
        self.choices.shuffle(out)
        return out

    def merged(self, sequences: list[list[str]]) -> list[str]:
        """Shuffle several sequences into one, each keeping its own order."""
        waiting = [sequence[::-1] for sequence in sequences if sequence]
        out = []
        while waiting:
            sequence = self.choices.choice(waiting)
            out.append(sequence.pop())
            waiting = [sequence for sequence in waiting if sequence]
        return out

    def rest_of_line(self) -> str:
        out = self.blank() + (self.choices.choice(NOISE) if self.chance(0.2) else "") + "\n"
        while self.chance(0.2):
            out += self.blank() + (self.choices.choice(NOISE) if self.chance(0.4) else "") + "\n"
        return out

    def blocks(self, table: dict[str, Any], above: tuple[str, ...]) -> tuple[str, list[str]]:
        """The statements of a table's own body, and the blocks (header with body) below it."""
        inline: dict[str, Any] = {}
        below: list[list[str]] = []
        for name, value in table.items():
            path = (*above, name)
            if isinstance(value, dict) and self.chance(0.6):
                below.append(self.table(value, path))
            elif (
                isinstance(value, list)
                and value
                and all(isinstance(item, dict) for item in value)
                and self.chance(0.7)
            ):
                sequence = []
                for item in value:
                    body, inner = self.blocks(item, path)
                    header = f"{self.blank()}[[{self.blank()}{self.dotted(path)}{self.blank()}]]"
                    sequence += [header + self.rest_of_line() + body, *inner]
                below.append(sequence)
            else:
                inline[name] = value
        body = "".join(
            f"{self.blank()}{self.dotted(names)}{self.blank()}={self.blank()}{self.value(value)}"
            f"{self.rest_of_line()}"
            for names, value in self.pairs(inline)
        )
        return body, self.merged(below)

    def table(self, table: dict[str, Any], path: tuple[str, ...]) -> list[str]:
        body, below = self.blocks(table, path)
        if not body and below and self.chance(0.5):
            return below  # made by mention only
        header = f"{self.blank()}[{self.blank()}{self.dotted(path)}{self.blank()}]"
        # A table may follow the tables below it.
        place = self.choices.randint(0, len(below)) if self.chance(0.3) else 0
        return [*below[:place], header + self.rest_of_line() + body, *below[place:]]

    def document(self, table: dict[str, Any]) -> str:
        body, below = self.blocks(table, ())
        text = (self.rest_of_line() if self.chance(0.3) else "") + body + "".join(below)
        if self.chance(0.3):
            text = re.sub("\n", lambda _: self.choices.choice(["\r\n", "\r\n", "\n"]), text)
        return re.sub(r"\r?\n\Z", "", text) if self.chance(0.3) else text


def normal(value: Any) -> str:
    """A text that two values share only if they are the same in type and content, whatever order of keys."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{key!r}:{normal(value[key])}" for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(normal, value)) + "]"
    return repr(value)


def with_changed(parsed: Any, path: Path, name: str | None, value: Any) -> Any:
    """A copy of the parsed data in which the entry at ``path`` has another name or another value."""
    first, rest = path[0], path[1:]
    if isinstance(parsed, list):
        return [
            (with_changed(item, rest, name, value) if rest else value) if number == first else item
            for number, item in enumerate(parsed)
        ]
    if rest:
        return {
            key: with_changed(item, rest, name, value) if key == first else item
            for key, item in parsed.items()
        }
    return {
        (name if name is not None and key == first else key): value if key == first else item
        for key, item in parsed.items()
    }


def all_paths(value: Any, above: Path = ()) -> list[tuple[Path, Any]]:
    out: list[tuple[Path, Any]] = []
    entries: Any = ()
    if isinstance(value, dict):
        entries = value.items()
    elif isinstance(value, list):
        entries = enumerate(value)
    for part, item in entries:
        out += [((*above, part), item), *all_paths(item, (*above, part))]
    return out


texts = st.one_of(
    st.text(st.sampled_from("ab\"'\\#=[]{}.,\n\t \r\x01\x7fé\u2028\U0001f50c"), max_size=8),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
)
names = st.one_of(st.sampled_from(["a", "b", "run", "R-1", "1", "x.y", ""]), texts)
zones = st.sampled_from([None, datetime.UTC, datetime.timezone(datetime.timedelta(hours=-7, minutes=-30))])
leaves = st.one_of(
    texts,
    st.integers(-(2**63), 2**63 - 1),
    st.integers(0, 99),
    st.floats(),
    st.booleans(),
    st.datetimes(timezones=zones).map(lambda moment: moment.replace(fold=0)),
    st.dates(),
    st.times().map(lambda moment: moment.replace(fold=0)),
)
tables = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(names, inner, max_size=4),
        st.lists(st.dictionaries(names, inner, max_size=3), min_size=1, max_size=3),
    ),
    max_leaves=14,
)
documents = st.dictionaries(names, tables, max_size=5)


@settings(max_examples=400, deadline=None)
@given(document=documents, seed=st.integers(0, 2**32))
def test_places_in_random_documents(document: dict[str, Any], seed: int) -> None:
    text = Writer(random.Random(seed)).document(document)
    parsed = tomli.loads(text)
    assert normal(parsed) == normal(document), "the writer of this test must write what it was given"

    places = Positions(text)
    seen: set[int] = set()
    for path, value in all_paths(parsed):
        place = places.find(path)
        assert place is not None, path
        key, source = text[place.key_start : place.key_end], text[place.value_start : place.value_end]
        name = path[-1]
        in_array = isinstance(name, int)
        if in_array:
            assert place[:2] == place[2:]
        else:
            assert tomli.loads(f"{key} = 1") == {name: 1}

        is_table = isinstance(value, dict) and not source.startswith("{")
        # An inline array of tables can begin with "[{" or "[ {" only.
        is_array_of_tables = (
            isinstance(value, list)
            and bool(value)
            and all(isinstance(item, dict) for item in value)
            and source.startswith("[[")
        )
        if is_table or is_array_of_tables:
            # A header or a dotted key: read alone, it makes the table under the last names of the path.
            words = tuple(part for part in path if isinstance(part, str))
            alone = tomli.loads(source)
            made = [tuple(p for p in found if isinstance(p, str)) for found, _ in all_paths(alone)]
            assert any(names == words[-len(names) :] for names in made), (path, source)
            assert in_array or place.value_start < place.key_start or not source.startswith("[")
            if in_array or source.startswith("[["):
                assert source.endswith("]]")
            if in_array:
                assert place.value_start not in seen
                seen.add(place.value_start)
            continue

        assert place.value_start not in seen
        seen.add(place.value_start)
        assert normal(tomli.loads("x = " + source)["x"]) == normal(value)
        # The strict proof: another value written over the span changes this entry and nothing else.
        over = text[: place.value_start] + '"another"' + text[place.value_end :]
        assert normal(tomli.loads(over)) == normal(with_changed(parsed, path, None, "another"))
        if not in_array:
            over = text[: place.key_start] + "another-name" + text[place.key_end :]
            assert normal(tomli.loads(over)) == normal(with_changed(parsed, path, "another-name", value))

        assert places.find((*path, "not there")) is None
        assert places.nearest((*path, 99, "not there")) == (place, path)
        line, column = places.line_column(place.value_start)
        assert places.line_text(line)[column - 1 :].startswith(re.split("\r?\n", source)[0])
