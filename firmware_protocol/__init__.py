"""The wire between host and board: frames, messages and the session. Knows no ports, clocks, threads, files."""
