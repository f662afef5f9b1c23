"""Demo recordings of an invented scenario, made by the simulated rig."""
