"""Command line, app, figures and reports. Knows nothing of the wire."""
