"""The shop, its people, their roles and sign-ins."""
