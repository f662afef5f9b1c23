"""The page of a client's card and strength check: the same values as PDF, as HTML and as JSON."""
