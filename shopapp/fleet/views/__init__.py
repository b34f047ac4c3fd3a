"""Pages of the fleet that change something."""
