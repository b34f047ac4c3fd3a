"""Pages of enquiries, quotes and jobs."""
