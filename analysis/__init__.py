"""From a recording to a curve, its measures and a verdict. Knows recordings only."""
