"""The fault finder for a boat: its network as planned or as recorded, asked by pages and API."""
