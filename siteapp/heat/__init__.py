"""A piece near a fire: the appliance and its distances, what its parts stand, the heat test."""
