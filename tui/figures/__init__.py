"""Figures for paper, slide and wall: drawn from values, readable in grey, with units and source."""
