"""coilwright: from a hookup written in flow order to takeoffs, findings and sheets."""

from .version import __version__

__all__ = ["__version__"]
