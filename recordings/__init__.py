"""The recording format: writer, strict reader, verification. Knows no rigs and no screens."""
