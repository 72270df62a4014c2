"""What each hanging point carries, in each case, with any one of them lost."""
