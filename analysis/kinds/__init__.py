"""Pulls other than to the break: proof, hold, stretch and return, and one strand before and after a treatment."""
