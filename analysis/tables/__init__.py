"""Tables of other programs as traces: files, columns, units and numbers in whatever form they come."""
