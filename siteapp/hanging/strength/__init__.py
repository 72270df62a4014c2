"""The piece's own strength at each hanging point: bond, plate, and how they were proved."""
