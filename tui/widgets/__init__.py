"""Widgets that draw values: the curve, the readouts, the verdict."""
