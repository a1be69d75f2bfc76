"""Shop: the shop's own data, its allowances, its machines."""
