"""What the program remembers between sessions: typed values in files of its own, written so that none is lost."""
