"""The simulated rig: a board that speaks the real wire, with a stage, an amplifier and a strand around it."""
