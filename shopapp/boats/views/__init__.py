"""Pages of boats and of all aboard."""
