"""Ports, the reader thread, the verbs, the stop rules, the recorder. Knows nothing of analysis or screens."""
