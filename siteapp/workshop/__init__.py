"""What this workshop says of itself on labels: its name and its lasting web address."""
