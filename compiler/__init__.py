"""coilwright: from a hookup written in flow order to its takeoffs, findings and sheets.

>>> from coilwright import compile_text
>>> compile_text("project 'x'").broken
True
"""

from typing import TYPE_CHECKING, Any

from .version import __version__

if TYPE_CHECKING:
    from .api import Compilation, compile_file, compile_text
    from .batch import Batch, compile_files

__all__ = ["Batch", "Compilation", "__version__", "compile_file", "compile_files", "compile_text"]


def __getattr__(name: str) -> Any:
    """Load the compiler when it is first asked for: `coilwright --version` must not."""
    if name in __all__:
        from . import api, batch

        return getattr(api if hasattr(api, name) else batch, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
