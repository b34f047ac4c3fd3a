"""Forms of boats and of all aboard."""
