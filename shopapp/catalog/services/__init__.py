"""What is done with the catalogue; one noun a file."""
