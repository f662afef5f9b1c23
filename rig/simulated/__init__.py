"""The simulated rig: a board that speaks the real wire, with a stage, an amplifier and a strand around it.

    settings, faults, catalogue    what a simulated rig can be told
    curve, strand, draw            one strand: its stress, its history, its scatter
    specimen, clamps               strand and give in series; who mounts the next strand, and when
    stage, amplifier, force_watch  motion, readings, the board's own force rules
    machine, commands              the board in device time: what happens, and what it answers
    fault_plan, mishaps            when a fault comes, and what it does
    board                          bytes in, bytes out, two clocks; pure and deterministic
    ports, server                  a board behind a TCP port or a pseudo-terminal, paced by the computer's clock

Nothing of the host is known here, and the host knows nothing of this: they meet on the wire.
"""
