"""logbook: a diagnostic-and-build report site from plain-text test logs."""

__version__ = "0.1.0"
