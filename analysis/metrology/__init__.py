"""Where the numbers come from: gravity, weights, calibration fits, cross-section. Pure mathematics, no files."""
