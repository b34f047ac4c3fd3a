"""What is done with boats and with all aboard; each room of it has its own file."""
