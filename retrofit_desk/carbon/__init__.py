"""Carbon of fuels, grid, materials and refrigerants. Numbers in, numbers out."""
