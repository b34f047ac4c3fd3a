"""Forms of enquiries, quotes and jobs."""
