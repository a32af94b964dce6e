"""Writing a report: to a stream, or to a file that is written whole or not at all."""

import codecs
import os
import tempfile
from pathlib import Path
from typing import Final, TextIO

# What a terminal without Unicode shows for the signs of our own reports, each one letter wide where it can be.
_SIGNS: Final = {
    "─": "-",
    "›": ">",
    "‹": "<",
    "·": "-",
    "…": "~",
    "×": "x",
    "−": "-",
    "≤": "<=",
    "≥": ">=",
    "→": "->",
    "°": "deg ",
    "Ω": "ohm",
    "√": "sqrt",
    "²": "^2",
    "Δ": "d",
}
_ERRORS: Final = "riserlint-signs"


def _without_unicode(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letter = error.object[error.start]
    return _SIGNS.get(letter) or letter.encode("ascii", "backslashreplace").decode("ascii"), error.start + 1


codecs.register_error(_ERRORS, _without_unicode)


def write_machine_text(text: str, stream: TextIO) -> None:
    """Write a text for another program: always in UTF-8, with plain line ends.

    Raises:
        OSError: it can't be written, or not as a whole.
    """
    _reconfigure(stream, encoding="utf-8", errors="backslashreplace", newline="\n")
    _write(text, stream)


def write_human_text(text: str, stream: TextIO) -> None:
    """Write a text for a person in the encoding of the stream; what that can't show is shown in another way.

    Raises:
        OSError: it can't be written, or not as a whole.
    """
    _reconfigure(stream, errors=_ERRORS)
    _write(text, stream)


def _reconfigure(stream: TextIO, **settings: str) -> None:
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(**settings)


def _write(text: str, stream: TextIO) -> None:
    try:
        stream.write(text)
        stream.flush()
    except ValueError as error:
        raise OSError(str(error)) from error


def close_quietly(stream: TextIO) -> None:
    """Lead a stream that can't be written to nowhere, so that the interpreter's last flush does not fail again."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError, AttributeError):
        pass  # no stream of the system: there is no last flush that could fail


def write_whole(file: Path, text: str) -> None:
    """Write a text to a file so that a reader sees the old content or all of the new, never a part.

    A link stays a link: the file that it leads to is written. What is no file (a pipe, a terminal) is written to as
    it is, for it can't be replaced.

    Raises:
        OSError: it can't be written; the old content is still there.
    """
    file = Path(os.path.realpath(file))
    if file.exists() and not file.is_file():
        with file.open("w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
        return
    handle, name = tempfile.mkstemp(prefix=".riserlint-", dir=file.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        mode = file.stat().st_mode & 0o777 if file.exists() else 0o666 & ~_umask()
        Path(name).chmod(mode)
        Path(name).replace(file)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
