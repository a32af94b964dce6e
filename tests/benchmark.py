"""Times whole reviews against plain processes that only parse: run on demand, prints ratios, asserts nothing.

    python tests/benchmark.py                 a clean design of 300 runs
    python tests/benchmark.py --large         10,000 and 100,000 runs as well (minutes)

Each figure is the median of the ratios of paired runs, one after the other, in processor time of the whole
process (start of the interpreter included) as the operating system accounts it; wall time stands beside it. The
yardsticks, in the same interpreter:

* 300 runs: a process that defines one pydantic model and parses the same text.
* 100,000 runs: a process that imports tomli and pydantic and parses the same text.
* growth: the review of 100,000 runs against that of 10,000.
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

_ONE_MODEL = """\
import sys, tomli
from pydantic import BaseModel
class A(BaseModel):
    x: int
tomli.loads(open(sys.argv[1], encoding="utf-8").read())
"""
_PARSE = "import sys, tomli, pydantic; tomli.loads(open(sys.argv[1], encoding='utf-8').read())"
_CAMPUS = Path(__file__).with_name("make_campus.py")


class Taken(NamedTuple):
    """What one process took, in seconds, and the most memory it held."""

    cpu_s: float
    wall_s: float
    peak_mb: float
    status: int


def taken(command: Sequence[str]) -> Taken:
    """Run a command once with its output thrown away, and return what it took."""
    start = time.perf_counter()
    # Compiled modules are kept, as in any installed package; the first, uncounted run writes them.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL, env=environment)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    wall = time.perf_counter() - start
    return Taken(usage.ru_utime + usage.ru_stime, wall, usage.ru_maxrss / 1024, process.returncode)


def compared(name: str, command: Sequence[str], yardstick: Sequence[str], rounds: int) -> None:
    """Print the ratio of a command to a yardstick, run in turn."""
    taken(command)
    taken(yardstick)
    pairs = [(taken(command), taken(yardstick)) for _ in range(rounds)]
    cpu = sorted(mine.cpu_s / theirs.cpu_s for mine, theirs in pairs)
    wall = sorted(mine.wall_s / theirs.wall_s for mine, theirs in pairs)
    mine_s = statistics.median(mine.cpu_s for mine, _ in pairs)
    theirs_s = statistics.median(theirs.cpu_s for _, theirs in pairs)
    peak = max(mine.peak_mb for mine, _ in pairs)
    statuses = sorted({mine.status for mine, _ in pairs})
    sys.stdout.write(
        f"{name:<44} {statistics.median(cpu):6.2f}  ({cpu[0]:.2f} to {cpu[-1]:.2f})"
        f"  wall {statistics.median(wall):5.2f}  {mine_s:8.2f} s against {theirs_s:.2f} s"
        f"  {peak:6.0f} MB  exit {statuses}\n"
    )
    sys.stdout.flush()


def main() -> None:
    """Make the designs and print the ratios."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--large", action="store_true", help="10,000 and 100,000 runs as well")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        designs = {
            runs: _made(Path(folder), runs) for runs in ((300, 10_000, 100_000) if options.large else (300,))
        }
        sys.stdout.write("processor time of the whole process, as a ratio: median (least to greatest)\n")
        small = str(designs[300])
        one_model = [sys.executable, "-c", _ONE_MODEL, small]
        for form in ("json", "human"):
            compared(
                f"300 runs, {form} / one model and parse", _review(small, form), one_model, options.rounds
            )
        if options.large:
            large, middle = str(designs[100_000]), str(designs[10_000])
            parse = [sys.executable, "-c", _PARSE, large]
            compared("100,000 runs, json / imports and parse", _review(large, "json"), parse, 3)
            compared("100,000 runs / 10,000 runs, json", _review(large, "json"), _review(middle, "json"), 3)


def _made(folder: Path, runs: int) -> Path:
    (folder / ".git").mkdir(exist_ok=True)
    examples = Path(__file__).parent.parent / "example_designs"
    shutil.copytree(examples / "parts", folder / str(runs) / "parts")
    shutil.copy(examples / "basis.toml", folder)
    file = folder / str(runs) / "campus.toml"
    subprocess.run([sys.executable, str(_CAMPUS), str(runs), str(file)], check=True)
    return file


def _review(file: str, form: str) -> list[str]:
    return [sys.executable, "-m", "riserlint", "review", file, "--format", form]


if __name__ == "__main__":
    main()
