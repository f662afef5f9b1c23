"""The strength check and the card of tests before a chemical service: what is planned, done, open and expired.

Values and rules only: times are handed in, nothing here knows screens. What is kept of it lies in `tui.store`.
"""
