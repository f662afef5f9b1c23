"""A series of strands by a plan: which is next and why, what was pulled, what does not count, when it is enough."""
