"""Several strands and several groups: series, censored pulls, comparisons, repeatability, agreement."""
