"""The version, as a constant: asking the installer at run time costs a noticeable part of a second."""

__version__ = "0.1.0"
