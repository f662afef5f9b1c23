"""For a class: curves played in step, guesses and how far off they were, and a page for the class's browsers."""
