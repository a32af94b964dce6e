"""Reviews TOML designs of centrally powered low-voltage networks against the standards.

This module is the one public door: what a rule author or a user of the library needs is here, and rules import
nothing below it. Names that begin with an underscore, and the submodules themselves, may change in any release.

For rule authors: :class:`Rule`, :class:`Check`, the answers (:class:`Answer`, :class:`Passed`,
:class:`NotApplicable`) with their parts, :data:`hookimpl`, the :class:`Built` installation that a rule is handed,
and the modules of limits (``*_limits``) and of engineering functions.

For users of the library: :func:`load_rules`, :func:`review_paths`, :class:`Review` and its parts.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from riserlint.door import *  # noqa: F403 - the door names what it offers
    from riserlint.door import __all__ as __all__
else:
    # The command stops the collector and reads its arguments first: loading with it on takes a fifth longer.
    def __getattr__(name: str) -> Any:
        """Open the door when a name of it is first asked for."""
        if name.startswith("_") and name != "__all__":
            raise AttributeError(f"module 'riserlint' has no attribute {name!r}")
        import importlib

        door = importlib.import_module("riserlint.door")
        globals().update({offered: getattr(door, offered) for offered in ("__all__", *door.__all__)})
        if name not in globals():
            raise AttributeError(f"module 'riserlint' has no attribute {name!r}")
        return globals()[name]

    def __dir__() -> list[str]:
        """Return what the door offers beside the module's own names."""
        return sorted({*globals(), *__getattr__("__all__")})
