"""The appliance from its plate, the opening, and what stands how far from it."""
