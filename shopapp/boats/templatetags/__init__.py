"""Template filters of the boats room."""
