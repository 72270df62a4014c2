"""The commission: client, site, brief."""
