"""All recordings of a folder at a glance: an index that is kept, search, tags, export, and imported tables."""
