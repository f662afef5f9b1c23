"""The steps of the analysis of one pull, in the order in which `analysis.study` takes them."""
