"""The version of this package, as its distribution states it."""

from typing import Final

#: Kept equal to pyproject.toml by a test; reading the installed metadata would cost each start some milliseconds.
VERSION: Final = "0.1.0"
